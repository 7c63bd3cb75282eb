package storetest

import (
	"fmt"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/course"
)

// Draw chooses a number from 0 to below n; label says what it is for.
type Draw func(label string, n int) int

// Start is about when random journals begin.
var Start = time.Date(2026, 6, 1, 6, 0, 0, 0, time.UTC)

// ID returns the n-th of a row of ids, each later than the one before, in the
// form of a UUID version 7 (RFC 9562, section 5.7).
func ID(n int) string {
	return fmt.Sprintf("%08x-%04x-7000-8000-%012x", 0x0190b5c2+n>>16, n&0xffff, n)
}

// PlantID returns the id of the n-th plant.
func PlantID(n int) string { return fmt.Sprintf("0190a000-0000-7000-8000-%012x", n) }

// Journal draws a valid journal of a few plants and spaces over some weeks, in
// the order in which the ids were made: additions, repots, all that can be done
// or seen, corrections of corrections, withdrawals, entries moved from one
// plant to another.
func Journal(draw Draw, length int) []care.Entry {
	j := journal{draw: draw}
	for range length {
		j.add()
	}
	return j.entries
}

// Fixed is a random journal that is the same every time.
func Fixed(length int) []care.Entry {
	state := uint64(1)
	return Journal(func(_ string, n int) int {
		state = state*6364136223846793005 + 1442695040888963407 // Knuth's MMIX generator
		return int(state>>33) % n
	}, length)
}

type journal struct {
	draw    Draw
	entries []care.Entry
}

const plants, spaces = 4, 3

func (j *journal) add() {
	e := care.Entry{
		ID: ID(len(j.entries)),
		// Few minutes apart and often the same, in several time zones.
		At: Start.Add(time.Duration(j.draw("minute", 60)) * 11 * time.Hour).In(time.FixedZone("", (j.draw("zone", 5)-2)*5*3600)),
	}
	if j.draw("by", 3) == 0 {
		e.By = "A. Grower"
	}
	e.Kind = care.Kinds[j.draw("kind", len(care.Kinds))]
	e.Plant = PlantID(j.draw("plant", plants))
	e.Detail = j.detail(e)
	switch e.Kind {
	case care.SpotSet, care.LightReadAt, care.ForecastIn, care.PlaceSet, care.SpaceSet, care.WaterSet, care.FeedSet, care.RoutineSet, care.SettingsSet, care.CaseKept, care.RainFell, care.BladeCleaned, care.AwaySet, care.PlanAnew, care.MixingSet,
		care.TankSet, care.StockRead, care.BatchMade, care.MembraneRead:
		e.Plant = ""
	case care.Withdrawn:
		if len(j.entries) == 0 {
			e.Kind, e.Plant, e.Detail = care.RainFell, "", care.Detail{RainMM: new(12.5)}
			break
		}
		if j.draw("withdrawn without a plant", 2) == 0 {
			e.Plant = ""
		}
	}
	if len(j.entries) > 0 && (e.Kind == care.Withdrawn || j.draw("corrects", 5) == 0) {
		e.Corrects = j.entries[j.draw("corrected", len(j.entries))].ID
	}
	j.entries = append(j.entries, e)
}

func (j *journal) detail(e care.Entry) care.Detail {
	d := care.Detail{}
	number := func(label string, n int) *float64 { return new(float64(j.draw(label, n)) + 0.25) }
	space := fmt.Sprintf("bench %d", j.draw("space", spaces))
	name := fmt.Sprintf("no. %d", j.draw("name", 3))
	switch e.Kind {
	case care.PlaceSet:
		d.Place = &care.Place{LatitudeDeg: given(float64(j.draw("latitude", 90)), "°")}
	case care.SpaceSet:
		d.Space = &care.Space{Name: space, Kind: care.SpaceKinds[j.draw("sort", len(care.SpaceKinds))]}
	case care.WaterSet:
		d.Water = &care.Water{Name: name, ECmS: given(float64(j.draw("ec", 10))/10, "mS/cm")}
	case care.FeedSet:
		d.Feed = &care.Feed{Name: name}
	case care.RoutineSet:
		d.Routine = &care.Routine{Water: name}
	case care.SettingsSet:
		d.Settings = &care.Settings{MinutesPerDay: float64(j.draw("minutes", 90))}
	case care.CaseKept:
		d.Case = &care.CaseText{Name: name, File: "[[plant]]\nname = \"“Ada’s” × one\"\n"}
	case care.PlantSet:
		d.Plant = &care.Plant{Label: "P-" + e.Plant[34:], Name: name}
		if j.draw("placed", 2) == 0 {
			d.Plant.Space = space
		}
	case care.RepotDone:
		d.Repot = &care.Repot{Work: care.Works[j.draw("work", len(care.Works))]}
		if j.draw("dated", 2) == 0 {
			d.Repot.Date = Start.AddDate(0, 0, j.draw("day", 20)).Truncate(24 * time.Hour)
		}
	case care.FlushDone, care.FeedDone, care.MistDone, care.SupplementIn, care.Treated:
		d.VolumeML = number("mL", 900)
	case care.TankSet:
		d.Tank = &care.Tank{Water: name, HoldsL: given(float64(j.draw("holds", 200)+1), "L")}
	case care.StockRead:
		d.Stock = &care.StockReading{Water: name, Litres: number("litres", 200)}
	case care.BatchMade:
		d.Batch = &care.BatchMixed{Name: "A", Litres: 5, Waters: []care.LitresOf{{Water: name, Litres: 5}}, ReadMS: number("read", 2)}
	case care.MixingSet:
		d.Mixing = &care.Mixing{ScaleG: given(0.1, "g"), Acid: care.CitricAcid}
	case care.MembraneRead:
		d.Membrane = &care.MembraneReading{SourceECmS: 0.7, PermeateECmS: 0.02, LPerHour: number("jug", 9)}
	case care.AwaySet:
		from := Start.AddDate(0, 0, j.draw("leaves", 20)).Truncate(24 * time.Hour)
		d.Away = &care.Away{From: from, To: from.AddDate(0, 0, j.draw("stays away", 9)), SitterMinutes: *number("sits", 30)}
	case care.RepotPlanned:
		if j.draw("planned", 3) > 0 {
			d.PlannedFor = Start.AddDate(0, 0, j.draw("for", 40)).Truncate(24 * time.Hour)
		}
	case care.RainFell:
		d.RainMM = number("mm", 40)
	case care.Weighed:
		d.MassG = number("g", 900)
	case care.DrainageRead:
		d.ECmS = number("mS", 3)
	case care.SpotSet:
		d.Spot = &care.Spot{Space: space, Name: name, Faces: "NE", Places: j.draw("places", 5)}
	case care.LightReadAt:
		d.LightRead = &care.LightRead{Space: space, Spot: name, PPFD: given(float64(10*j.draw("light", 60)), "µmol/m²/s"), Clear: true}
	case care.ForecastIn:
		d.Foreseen = &care.Foreseen{Space: space, File: "f.csv", Start: Start.UTC(), TempC: []float64{*number("°C", 30), 20.5}, RHPercent: []float64{50, *number("%", 90)}}
	case care.WetnessSeen:
		d.Wet = care.Wetnesses[j.draw("wet", len(care.Wetnesses))]
	case care.RootsRead:
		d.Roots = []care.RootReading{{Root: string(rune('a' + j.draw("root", 3))), LengthMM: *number("mm", 90), Tip: "growing"}}
	case care.Counted:
		d.Leaves = new(j.draw("leaves", 20))
	case care.SignSeen:
		d.Sign = care.SeenSigns[j.draw("sign", len(care.SeenSigns))]
	case care.BladeUsed:
		d.Blade = name
	case care.BladeCleaned:
		d.Blade, d.How = name, care.BladeCares[j.draw("how", len(care.BladeCares))]
	case care.PestLook:
		d.Pest = []string{"", "scale", "mites"}[j.draw("pest", 3)]
	case care.Photographed:
		d.Photo = fmt.Sprintf("%064x", j.draw("photo", 5))
	case care.Moved:
		d.ToSpace = space
	case care.SpikeDecided:
		d.Spike = []string{"cut", "kept"}[j.draw("spike", 2)]
	case care.Reviewed:
		d.Stage = course.Rooting
	case care.Noted:
		d.Note = "Tip “green”, 3 mm – looks = good"
	case care.Skipped:
		d.Reason = "no time"
	}
	if e.Kind == care.Skipped || j.draw("answers", 3) == 0 {
		d.Job = fmt.Sprintf("%s/flush/2026-06-%02d", e.Plant, 1+j.draw("job", 9))
	}
	return d
}

func given(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }
