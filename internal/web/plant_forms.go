package web

import (
	"fmt"
	"strconv"
	"strings"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
)

// entryForms are the forms for everything that is done or seen at one plant, in
// the order of the day's use.
var entryForms = []entryForm{
	{slug: "flush", kind: care.FlushDone, title: "Flush", lead: "Low-salt water, run through.", ask: askPour, read: readPour},
	{slug: "feed", kind: care.FeedDone, title: "Feed", ask: askFeed, read: readPour},
	{slug: "water", kind: care.WaterGiven, title: "Water", lead: "Between two flushes.", ask: askMist, read: readPour},
	{slug: "mist", kind: care.MistDone, title: "Mist", ask: askMist, read: readPour},
	{slug: "supplement", kind: care.SupplementIn, title: "Supplement", lead: "Seaweed and the like.", ask: askProduct("What was given, as its label calls it"), read: readProduct,
		evidence: []evidence{{"No controlled trial on repotted orchids was found. One seaweed extract raised rooting in roses, differently in each cultivar. If you use one, note it: the outcomes will tell.", "published for roses; common practice for orchids"}}},
	{slug: "weigh", kind: care.Weighed, title: "Weigh", lead: "The whole pot or mount, as it stands.", ask: askMass, read: readMass, cautions: []culture.Situation{culture.LiftingPots}},
	{slug: "drainage", kind: care.DrainageRead, title: "Drainage EC", lead: "One cup of what runs out. Write down each cup of a flush: the plant's page then says whether it is done.", ask: askDrainage, read: readDrainage},
	{slug: "wetness", kind: care.WetnessSeen, title: "Look at the pot", lead: "With a finger or a stick, and in the hand. Before you water.", ask: askWetness, read: readWetness},
	{slug: "roots", kind: care.RootsRead, title: "Root lengths", lead: "From the mark to the tip. Two or three roots are enough.", ask: askRoots, read: readRoots},
	{slug: "counts", kind: care.Counted, title: "Leaves and bulbs", lead: "What you counted; leave the rest empty. Judge wrinkles on the newest bulb or leaf: it changes first.", ask: askCounts, read: readCounts},
	{slug: "sign", kind: care.SignSeen, title: "A sign", lead: "Something to be seen that no number says.", ask: askSign, read: readSign},
	{slug: "pests", kind: care.PestLook, title: "Pest look", ask: askPests, read: readPests, cautions: []culture.Situation{culture.UsingPesticide}},
	{slug: "treatment", kind: care.Treated, title: "Treatment", lead: "What was used, and where. Wiping, rinsing and picking off count.", ask: askTreatment, read: readTreatment, cautions: []culture.Situation{culture.UsingPesticide}},
	{slug: "blade", kind: care.BladeUsed, title: "Blade", lead: "Which blade cut this plant: where the sap of one plant went to the next shows from the order.", ask: askBlade, read: readBlade, cautions: []culture.Situation{culture.CuttingPlants}},
	{slug: "photograph", kind: care.Photographed, title: "Photograph", lead: "The same side each time, with a ruler or a card of known size beside the roots.", ask: askPicture, read: readNothing, multipart: true},
	{slug: "move", kind: care.Moved, title: "Move", lead: "To another space.", ask: askSpace, read: readSpace},
	{slug: "spike", kind: care.SpikeDecided, title: "Flower spike", lead: "Keeping or cutting it is your choice.", ask: askSpike, read: readSpike, cautions: []culture.Situation{culture.CuttingPlants}, evidence: spikeEvidence},
	{slug: "review", kind: care.Reviewed, title: "Review", ask: askReview, read: readReview, note: "What you saw and decided"},
	{slug: "note", kind: care.Noted, title: "Note", ask: askNothing, read: readNothing},
	{slug: "lost", kind: care.PlantLost, title: "Plant lost", lead: "The plant has died. What was noted stays and counts among the outcomes.", ask: askNothing, read: readNothing, note: "What it died of, as far as you can tell"},
	{slug: "left", kind: care.PlantLeft, title: "Plant left", lead: "Given away, sold or swapped. What was noted stays.", ask: askNothing, read: readNothing, note: "Where it went"},
}

// spikeEvidence is what is known about spikes on plants with few roots.
var spikeEvidence = []evidence{
	{"Flowers draw on the same stored water as the leaves. That they last says nothing about the roots.", "from memory"},
	{"After more than a third of the roots was lost many growers cut the spike; green spikes of Psychopsis, Tolumnia and summer-flowering Phalaenopsis are kept, because they flower again.", "common practice"},
	{"If the marked tips stand still while it flowers, cutting is worth considering. No trial on repotted orchids was found.", "common practice"},
}

func askNothing(*writer, care.Detail, bool) []question { return nil }

func readNothing(*writer, *form, care.Detail) care.Detail { return care.Detail{} }

// measured is a pointed number as a quantity to be shown.
func measured(v *float64, unit string) basis.Value {
	if v == nil {
		return basis.Value{}
	}
	return basis.Exactly(*v, unit, basis.Measured, "")
}

// number reads an optional quantity.
func (wr *writer) number(f *form, name string, m measure, kept *float64) *float64 {
	v := f.quantity(name, m, wr.u, measured(kept, m.unit))
	if v.Grade == 0 {
		return nil
	}
	return &v.Value
}

// waters asks which water was taken.
func (wr *writer) waters(chosen string) question {
	f := field{Name: "water", Label: "Water", Type: "select", Options: []choice{{Label: "not noted"}}}
	lowest := ""
	least := 0.0
	for _, one := range wr.sp.kase.Waters {
		f.Options = append(f.Options, choice{one.Name, one.Name, false})
		if one.ECmS.Grade != 0 && (lowest == "" || one.ECmS.Value < least) {
			lowest, least = one.Name, one.ECmS.Value
		}
	}
	if chosen == "suggest" {
		chosen = lowest
	}
	for i := range f.Options {
		f.Options[i].Chosen = f.Options[i].Value == chosen
	}
	return ask(f)
}

func askPour(wr *writer, d care.Detail, fresh bool) []question {
	volume := field{Name: "volume", Label: "Poured in all", Mode: "decimal", Value: shown(wr.u, measured(d.VolumeML, "mL"))}
	water := d.WaterName
	if fresh {
		water = "suggest"
		if wr.course != nil {
			volume.Value = wr.u.Show(wr.course.Flush.Total.Value)
			volume.Hint = "As the course asks. " + wr.course.Flush.Says(wr.u, homeNoun(wr.sp))
		}
	}
	return []question{ask(wetnessField("Found it", d.Wet)), ask(volume), wr.waters(water)}
}

func readPour(wr *writer, f *form, kept care.Detail) care.Detail {
	return care.Detail{
		VolumeML: wr.number(f, "volume", pourVolume, kept.VolumeML), ECmS: wr.number(f, "ec", drainageEC, kept.ECmS),
		WaterName: f.text("water"), Product: f.text("product"), Wet: one(f, "wet", care.Wetnesses),
	}
}

func askFeed(wr *writer, d care.Detail, fresh bool) []question {
	volume := field{Name: "volume", Label: "Poured", Mode: "decimal", Value: shown(wr.u, measured(d.VolumeML, "mL"))}
	ec := field{Name: "ec", Label: "EC of the solution", Mode: "decimal", Value: shown(wr.u, measured(d.ECmS, "mS/cm"))}
	feed := field{Name: "product", Label: "Feed", Type: "select", Options: []choice{{Label: "not noted"}}}
	chosen, water := d.Product, d.WaterName
	if fresh {
		water = wr.sp.kase.Routine.Water
		if len(wr.sp.kase.Feeds) > 0 {
			chosen = wr.sp.kase.Feeds[0].Name
		}
		if own := wr.sp.state.Record.Routine; own != nil {
			chosen = cmpOr(own.Feed, chosen)
		} else {
			chosen = cmpOr(wr.sp.kase.Routine.Feed, chosen)
		}
		if wr.course != nil {
			ec.Value = wr.u.Show(wr.course.Now.FeedECmS.Value)
			ec.Hint = "This week's strength is " + ec.Value + "."
			if g := wr.course.Now.FeedGramsPerLitre; g != nil {
				ec.Hint = "This week's strength is " + ec.Value + ", " + wr.u.Show(g.Value) + "."
			}
		}
	}
	for _, one := range wr.sp.kase.Feeds {
		feed.Options = append(feed.Options, choice{one.Name, one.Name, one.Name == chosen})
	}
	return []question{ask(volume), ask(ec), ask(feed), wr.waters(water)}
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func askMist(wr *writer, d care.Detail, _ bool) []question {
	return []question{ask(field{Name: "volume", Label: "About how much", Mode: "decimal", Value: shown(wr.u, measured(d.VolumeML, "mL")), Hint: "May stay empty."})}
}

func askProduct(label string) func(*writer, care.Detail, bool) []question {
	return func(_ *writer, d care.Detail, _ bool) []question {
		return []question{ask(field{Name: "product", Label: label, Value: d.Product, Required: true})}
	}
}

func readProduct(_ *writer, f *form, _ care.Detail) care.Detail {
	return care.Detail{Product: f.required("product", "Write down what it was.")}
}

func askTreatment(wr *writer, d care.Detail, fresh bool) []question {
	f := field{Name: "pest", Label: "Against", Type: "select", Options: []choice{{Label: "not said", Chosen: d.Pest == ""}}}
	for _, p := range wr.s.Book.Tables().Pests() {
		if !p.Harmless {
			f.Options = append(f.Options, choice{p.Name, sentence(p.Name), strings.EqualFold(p.Name, d.Pest)})
		}
	}
	return append(askProduct("The product, as its label calls it, or what was done")(wr, d, fresh), ask(f))
}

func readTreatment(wr *writer, f *form, kept care.Detail) care.Detail {
	d := readProduct(wr, f, kept)
	d.Pest = readPests(wr, f, kept).Pest
	return d
}

func askSign(_ *writer, d care.Detail, _ bool) []question {
	f := field{Name: "sign", Label: "What is to be seen", Type: "radios"}
	for _, s := range care.SeenSigns {
		f.Options = append(f.Options, choice{string(s), signWords[s], s == d.Sign})
	}
	return []question{ask(f)}
}

func readSign(_ *writer, f *form, _ care.Detail) care.Detail {
	sign := one(f, "sign", care.SeenSigns)
	if sign == "" {
		f.say("sign", "Choose what is to be seen.")
	}
	return care.Detail{Sign: sign}
}

// signWords are the signs as they are asked for.
var signWords = map[care.SeenSign]string{
	care.NewRootTip: "A new root tip, green or red", care.NewGrowth: "A new leaf or growth", care.LimpLeaves: "Leaves still limp in the morning",
	care.RocksInPot: "It rocks in its pot", care.SoftCrown: "The crown, the base or a growth is soft", care.SpreadingRot: "A dark, wet patch that spreads",
	care.BadSmell: "The pot or the base smells bad", care.RotGone: "What was soft or rotten is gone: dry and firm again",
	care.LiftedAlive: "Lifted once to look: living roots", care.LiftedDead: "Lifted once to look: hardly a living root",
	care.InSpikeSeen: "A flower spike", care.InBloomSeen: "It is in bloom", care.FlowersOver: "Its flowers are over", care.AtRest: "It is at rest: no growth, no root tips",
	care.PotBound: "It has outgrown its pot", care.MediumFailed: "The medium breaks down or smells sour",
}

func askBlade(_ *writer, d care.Detail, _ bool) []question {
	return []question{ask(field{Name: "blade", Label: "Blade", Value: d.Blade, Required: true, Hint: "As you call it, such as: red scissors. Note under Pests when it was flamed or replaced."})}
}

func readBlade(_ *writer, f *form, _ care.Detail) care.Detail {
	return care.Detail{Blade: f.required("blade", "Write down which blade it was.")}
}

func askMass(wr *writer, d care.Detail, _ bool) []question {
	return []question{ask(field{Name: "mass", Label: "Weight", Mode: "decimal", Value: shown(wr.u, measured(d.MassG, "g")), Required: true, Unit: potMass.usual(wr.u)})}
}

func readMass(wr *writer, f *form, kept care.Detail) care.Detail {
	if f.required("mass", "Write down what the scale shows.") == "" {
		return care.Detail{}
	}
	return care.Detail{MassG: wr.number(f, "mass", potMass, kept.MassG)}
}

func askDrainage(wr *writer, d care.Detail, _ bool) []question {
	return []question{ask(field{Name: "ec", Label: "EC of this cup", Mode: "decimal", Value: shown(wr.u, measured(d.ECmS, "mS/cm")), Required: true, Unit: saltUnit(wr.u)})}
}

func readDrainage(wr *writer, f *form, kept care.Detail) care.Detail {
	if f.required("ec", "Write down what the pen shows.") == "" {
		return care.Detail{}
	}
	return care.Detail{ECmS: wr.number(f, "ec", drainageEC, kept.ECmS)}
}

// wetnessWords tell what each wetness means.
var wetnessWords = map[care.Wetness]string{
	care.LooksDry: "Dry, as far down as a stick reaches", care.LooksDryOnto: "Dry on top, damp below",
	care.LooksDamp: "Damp throughout", care.LooksWet: "Wet, heavy in the hand",
}

// wetnessField asks for the wetness of a pot in a row of a form.
func wetnessField(label string, chosen care.Wetness) field {
	return field{Name: "wet", Label: label, Type: "select", Options: append([]choice{{"", "not looked at", chosen == ""}}, choices(care.Wetnesses, chosen)...)}
}

func askWetness(_ *writer, d care.Detail, _ bool) []question {
	f := field{Name: "wet", Label: "The pot is", Type: "radios"}
	for _, w := range care.Wetnesses {
		f.Options = append(f.Options, choice{string(w), wetnessWords[w], w == d.Wet})
	}
	return []question{ask(f)}
}

func readWetness(_ *writer, f *form, _ care.Detail) care.Detail {
	wet := one(f, "wet", care.Wetnesses)
	if wet == "" && !f.wrong() {
		f.say("wet", "Choose how wet it is.")
	}
	return care.Detail{Wet: wet}
}

func askCounts(_ *writer, d care.Detail, _ bool) []question {
	whole := func(name, label string, v *int) question {
		f := field{Name: name, Label: label, Mode: "numeric"}
		if v != nil {
			f.Value = strconv.Itoa(*v)
		}
		return ask(f)
	}
	grade := field{Name: "wrinkle", Label: "Wrinkles of the newest bulb or leaf", Type: "radios", Options: []choice{{Label: "not looked at", Chosen: d.Wrinkle == nil}}}
	for i, words := range wrinkles {
		grade.Options = append(grade.Options, choice{strconv.Itoa(i), fmt.Sprintf("%d %s", i, words), d.Wrinkle != nil && *d.Wrinkle == i})
	}
	return []question{whole("leaves", "Leaves", d.Leaves), whole("bulbs", "Bulbs or canes", d.Pseudobulbs), ask(grade)}
}

// whole reads an optional count.
func (f *form) whole(name string, most int) *int {
	text := f.text(name)
	if text == "" {
		return nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > most {
		f.say(name, "%q is not a count; a whole number from 0 to %d is expected.", text, most)
		return nil
	}
	return &n
}

func readCounts(_ *writer, f *form, _ care.Detail) care.Detail {
	d := care.Detail{Leaves: f.whole("leaves", 10_000), Pseudobulbs: f.whole("bulbs", 10_000), Wrinkle: f.whole("wrinkle", 3)}
	if !f.wrong() && d.Leaves == nil && d.Pseudobulbs == nil && d.Wrinkle == nil {
		f.say("leaves", "Count at least one thing.")
	}
	return d
}

func askPests(wr *writer, d care.Detail, _ bool) []question {
	f := field{Name: "pest", Label: "Found", Type: "radios", Options: []choice{{Label: "Nothing", Chosen: d.Pest == ""}}}
	var look []string
	for _, p := range wr.s.Book.Tables().Pests() {
		f.Options = append(f.Options, choice{p.Name, sentence(p.Name), strings.EqualFold(p.Name, d.Pest)})
		for _, seen := range wr.sp.state.Record.Repot.Pests {
			if one, err := wr.s.Book.Tables().Pest(seen); err == nil && one.Key == p.Key && !p.Harmless {
				look = append(look, fmt.Sprintf("Seen before: %s. %s", p.Name, p.Where.Is))
			}
		}
	}
	list := []question{{Text: "Look into leaf axils and sheaths, at undersides, the pot's rim, the first roots."}}
	for _, text := range look {
		list = append(list, question{Text: text})
	}
	hides := question{Legend: "Where each hides"}
	for _, p := range wr.s.Book.Tables().Pests() {
		words := p.Where.Is
		if p.Lookalikes != "" {
			words += " Mistaken for it: " + p.Lookalikes
		}
		if p.Harmless {
			words += " Harmless."
		}
		hides.Terms = append(hides.Terms, term{sentence(p.Name), words})
	}
	return append(list, ask(f), hides)
}

func readPests(wr *writer, f *form, _ care.Detail) care.Detail {
	name := f.text("pest")
	if name != "" {
		if _, err := wr.s.Book.Tables().Pest(name); err != nil {
			f.say("pest", "%s.", sentence(err.Error()))
		}
	}
	return care.Detail{Pest: name}
}

func askPicture(_ *writer, _ care.Detail, fresh bool) []question {
	if !fresh {
		return nil
	}
	return []question{ask(field{Name: "picture", Label: "Picture", Type: "file", Hint: "JPEG, PNG or WebP. What it tells of place, camera and owner is taken out."})}
}

func askSpace(wr *writer, d care.Detail, _ bool) []question {
	f := field{Name: "space", Label: "Space", Type: "radios"}
	for _, one := range wr.sp.kase.Spaces {
		if strings.EqualFold(one.Name, wr.sp.state.Record.Space) && d.ToSpace == "" {
			continue
		}
		f.Options = append(f.Options, choice{one.Name, one.Name, one.Name == d.ToSpace && d.ToSpot == ""})
	}
	for _, one := range wr.sp.kase.Spots {
		name := care.PlaceOption{Space: one.Space, Spot: one.Name}.Name()
		f.Options = append(f.Options, choice{name, name, strings.EqualFold(one.Space, d.ToSpace) && strings.EqualFold(one.Name, d.ToSpot)})
	}
	if len(f.Options) == 0 {
		return []question{{Text: "There is no other space; add one under Spaces first."}}
	}
	return []question{ask(f)}
}

func readSpace(wr *writer, f *form, _ care.Detail) care.Detail {
	name := f.required("space", "Choose where it stands now.")
	space, spot, known := placeOf(wr.sp.kase, name)
	if name != "" && !known {
		f.say("space", "%q is not one of the spaces.", name)
	}
	return care.Detail{ToSpace: space, ToSpot: spot}
}

func askSpike(_ *writer, d care.Detail, _ bool) []question {
	return []question{ask(field{Name: "spike", Label: "What was done", Type: "radios", Options: []choice{
		{"kept", "Kept", d.Spike == "kept"}, {"cut", "Cut", d.Spike == "cut"},
	}})}
}

func readSpike(_ *writer, f *form, _ care.Detail) care.Detail {
	choice := one(f, "spike", []string{"kept", "cut"})
	if choice == "" {
		f.say("spike", "Choose one of the two.")
	}
	return care.Detail{Spike: choice}
}

var stages = []course.Stage{course.Settling, course.Rooting, course.SteppingUp, course.Established}

func askReview(wr *writer, d care.Detail, _ bool) []question {
	f := field{Name: "stage", Label: "Where does it stand, by what you see?", Type: "radios", Options: []choice{{Label: "no opinion", Chosen: d.Stage == ""}}}
	for _, st := range stages {
		f.Options = append(f.Options, choice{string(st), sentence(string(st)), st == d.Stage})
	}
	var list []question
	if wr.course != nil {
		list = append(list, question{Text: fmt.Sprintf("By its course it is on day %d: %s. %s", wr.course.Day, wr.course.Stage, wr.course.Advice)})
	}
	return append(list, ask(f))
}

func readReview(_ *writer, f *form, _ care.Detail) care.Detail {
	return care.Detail{Stage: one(f, "stage", stages)}
}
