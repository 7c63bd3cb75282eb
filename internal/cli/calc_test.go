package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/basis"
)

// calculate runs one calculation and returns its JSON.
func calculate(t rapid.TB, args ...string) map[string]any {
	t.Helper()
	var out, problems bytes.Buffer
	args = append(append([]string{"calc"}, args...), "--json")
	if code := Run(context.Background(), args, Streams{Out: &out, Err: &problems}, scriptDay); code != exitDone {
		t.Fatalf("velamen %v: exit %d: %s", args, code, problems.String())
	}
	var answer map[string]any
	if err := json.Unmarshal(out.Bytes(), &answer); err != nil {
		t.Fatalf("velamen %v: %v", args, err)
	}
	return answer
}

func words(line string) []string {
	args := strings.Fields(line)
	for i := range args {
		args[i] = strings.ReplaceAll(args[i], "_", " ") // a blank inside one argument
	}
	return args
}

var calculations = []string{
	"air --temperature-c 25 --rh-percent 60",
	"air --temperature-c -12 --rh-percent 100 --altitude-m 1500",
	"air --temperature-c 30 --dew-point-c -20 --pressure-kpa 90 --leaf-c 33 --wanted-vpd-kpa 2.5",
	"air --temperature-c 21 --wet-bulb-c 15 --psychrometer still --room-m3 40 --outside-c -5 --outside-rh-percent 80 --wanted-rh-percent 60",
	"air --temperature-c 21 --rh-percent 0 --outside-c 35",
	"light convert --level 1200 --unit fc --from sun --hours 12",
	"light convert --level 20000 --unit lx --from hps --hours 16 --lux-per-umol 80",
	"light convert --level 12 --unit dli --from led --hours 14",
	"light sun --latitude-deg -37.8 --longitude-deg 145 --date 2026-06-21 --time 10:00",
	"light sun --latitude-deg 78 --longitude-deg 15 --date 2026-12-24",
	"light window --latitude-deg 5 --facing NE --distance-m 2",
	"leaf --class phalaenopsis --air-c 28 --rh-percent 45 --light-umol 200 --light-from sun --speed-m-s 0.1 --width-cm 8",
	"leaf hour --class thin-c3 --air-c 18 --rh-percent 90 --night --speed-m-s 2 --width-cm 3 --altitude-m 2000",
	"leaf day --class cymbidium --day-c 26 --night-c 14 --day-rh-percent 50 --night-rh-percent 75 --light-umol 300 --light-from sun --hours 12 --speed-m-s 0.3 --width-cm 2 --leaf-area-cm2 900",
	"leaf day --class phalaenopsis --day-c 26 --night-c 20 --day-rh-percent 50 --night-rh-percent 65 --light-umol 0 --light-from led --hours 0 --speed-m-s 0 --width-cm 8 --well-watered",
	"pot --pot-cm 12 --medium medium_bark=7,perlite=3 --demand-ml-per-day 10 --air-c 22 --rh-percent 55 --days 14 --flush-every-days 3 --feed-ec-ms 0.6 --feed-every-days 7 --start fresh",
	"pot --pot-cm 10 --material clay --medium moss --demand-ml-per-day 15 --air-c 25 --rh-percent 40 --days 20 --start-ec-ms 2 --fan",
	"pot --mount cork --mount-cm 15x8 --moss-cm 1 --demand-ml-per-day 10 --air-c 22 --rh-percent 90 --days 5 --flush-every-days 1 --flush-ml 100",
	"ec --label 20-20-20 --ppm-n 100 --water-ec-ms 0.5 --hardness-mg-l 180 --alkalinity-mg-l 150 --reading-ms 0.8 --at-c 15",
	"ec --label 0-0-40 --sulphur-percent 5 --grams-per-litre 1 --calcium-mg-l 40",
	"ec --water-ec-ms 0.2 --hardness-mg-l 300 --alkalinity-mg-l 250 --reading-ms 0 --at-c 40",
	"ec --water-ec-ms 0 --hardness-mg-l 0 --alkalinity-mg-l 0",
	"blend --a-water-ec-ms 0.7 --a-hardness-mg-l 280 --a-alkalinity-mg-l 200 --b-calcium-mg-l 2 --b-bicarbonate-mg-l 6 --target-ec-ms 0.2",
	"blend --a-water-ec-ms 0.7 --a-hardness-mg-l 280 --a-alkalinity-mg-l 200 --target-hardness-mg-l 0",
	"acid --acid citric --water-ec-ms 0.7 --hardness-mg-l 280 --alkalinity-mg-l 200 --target-alkalinity-mg-l 50 --litres 20",
	"acid --acid phosphoric --strength-percent 85 --density-kg-l 1.69 --alkalinity-mg-l 200 --target-alkalinity-mg-l 0",
	"ro --rated-litres-per-day 190 --water-c 8 --pressure-bar 3 --feed-ec-ms 0.7 --permeate-ec-ms 0.03",
	"ro --rated-litres-per-day 190 --water-c 35 --pressure-bar 6",
	"ro --recovery-percent 30 --feed-ec-ms 0.7 --permeate-ec-ms 0.7",
}

// Whatever is asked: every result lies within its range, every section says
// because, and every parameter has an ordered range, a basis and, where it must,
// a source.
func TestAnswersHoldTogether(t *testing.T) {
	for _, line := range calculations {
		t.Run(line, func(t *testing.T) {
			answer := calculate(t, words(line)...)
			command := strings.Fields(line)
			if format := fmt.Sprint(answer["format"]); !strings.HasPrefix(format, "velamen-calc-"+command[0]) {
				t.Errorf("format %q", format)
			}
			for key, value := range answer {
				switch key {
				case "format":
				case "parameters":
					checkParameters(t, value.(map[string]any))
				default:
					s := value.(map[string]any)
					if because, _ := s["because"].(string); len(because) < 40 || !strings.HasSuffix(because, ".") {
						t.Errorf("%s says because %q", key, because)
					}
					checkRanges(t, key, s)
				}
			}
		})
	}
}

func checkRanges(t *testing.T, where string, value any) {
	t.Helper()
	switch v := value.(type) {
	case []any:
		for i, row := range v {
			checkRanges(t, fmt.Sprintf("%s.%d", where, i), row)
		}
	case map[string]any:
		for key, inside := range v {
			checkRanges(t, where+"."+key, inside)
			low, ranged := v[key+"_low"].(float64)
			if !ranged {
				continue
			}
			centre, high := inside.(float64), v[key+"_high"].(float64)
			if !(low <= centre && centre <= high) {
				t.Errorf("%s.%s is %v, its range %v to %v", where, key, centre, low, high)
			}
		}
	}
}

func checkParameters(t *testing.T, parameters map[string]any) {
	t.Helper()
	grades := map[string]basis.Grade{}
	for g := basis.Assumption; g <= basis.Measured; g++ {
		grades[g.String()] = g
	}
	for key, value := range parameters {
		p := value.(map[string]any)
		source, _ := p["source"].(string)
		v := basis.Value{
			Value: p["value"].(float64), Low: p["low"].(float64), High: p["high"].(float64),
			Unit: fmt.Sprint(p["unit"]), Grade: grades[fmt.Sprint(p["basis"])], Source: source,
		}
		if err := v.Check(); err != nil {
			t.Errorf("%s: %v", key, err)
		}
	}
}

// Programs and people are told the same: each section, each parameter's grade.
func TestTablesAndJSONAgree(t *testing.T) {
	for _, line := range calculations {
		t.Run(line, func(t *testing.T) {
			var out, problems bytes.Buffer
			if code := Run(context.Background(), append([]string{"calc"}, words(line)...), Streams{Out: &out, Err: &problems}, scriptDay); code != exitDone {
				t.Fatalf("exit %d: %s", code, problems.String())
			}
			text := strings.Join(strings.Fields(out.String()), " ")
			for key, value := range calculate(t, words(line)...) {
				s, ok := value.(map[string]any)
				if !ok || key == "parameters" {
					continue
				}
				because := strings.Join(strings.Fields(s["because"].(string)), " ")
				if !strings.Contains(text, "because: "+because) {
					t.Errorf("people are not told why of %s: %s", key, because)
				}
			}
			for i, line := range strings.Split(out.String(), "\n") {
				if strings.HasSuffix(line, " ") || strings.Contains(line, "NaN") || strings.Contains(line, "Inf") {
					t.Errorf("line %d: %q", i+1, line)
				}
			}
		})
	}
}

// The loss of a leaf closes: radiation in is what air and water carry off, and a
// day is its light and its dark.
func TestLeavesKeepTheirBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		class := rapid.SampledFrom([]string{"phalaenopsis", "cattleya", "thin-c3", "cymbidium", "paphiopedilum"}).Draw(t, "class")
		number := func(name string, low, high float64) string {
			return fmt.Sprint(rapid.Float64Range(low, high).Draw(t, name))
		}
		kind := []string{"--class", class, "--light-from", "sun", "--speed-m-s", number("speed", 0, 3), "--width-cm", number("width", 1, 15), "--light-umol", number("light", 0, 600)}
		hour := calculate(t, append([]string{"leaf", "hour", "--air-c", number("air", 5, 38), "--rh-percent", number("humidity", 10, 98)}, kind...)...)
		for _, row := range hour["balance"].(map[string]any)["solutions"].([]any)[:2] {
			r := row.(map[string]any)
			in, out := r["net_radiation_w_per_m2"].(float64), r["sensible_w_per_m2"].(float64)+r["latent_w_per_m2"].(float64)
			// Solve closes to 1e-9 of its terms, which are below 1000 W/m².
			if math.Abs(in-out) > 1e-6 {
				t.Fatalf("%s: %v W/m² in, %v out", r["solution"], in, out)
			}
		}
		day := calculate(t, append([]string{"leaf", "day", "--day-c", number("day", 15, 38), "--night-c", number("night", 5, 25),
			"--day-rh-percent", number("day humidity", 20, 95), "--night-rh-percent", number("night humidity", 20, 98), "--hours", number("hours", 6, 18)}, kind...)...)
		d := day["day"].(map[string]any)
		loss, parts := d["loss_g_per_m2_day"].(float64), d["light_loss_g_per_m2_day"].(float64)+d["dark_loss_g_per_m2_day"].(float64)
		if math.Abs(loss-parts) > 1e-9*math.Abs(loss) {
			t.Fatalf("a day of %v g/m² has parts of %v", loss, parts)
		}
	})
}

// What the table of the days says adds up to the totals.
func TestDaysOfAPotAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(name string, low, high float64) string {
			return fmt.Sprint(rapid.Float64Range(low, high).Draw(t, name))
		}
		whole := func(name string, low, high int) string { return fmt.Sprint(rapid.IntRange(low, high).Draw(t, name)) }
		args := []string{"pot", "--demand-ml-per-day", number("demand", 0, 60), "--air-c", number("air", 5, 40), "--rh-percent", number("humidity", 5, 100),
			"--days", whole("days", 1, 25), "--start", rapid.SampledFrom([]string{"wet", "fresh"}).Draw(t, "start"), "--start-ec-ms", number("ec", 0, 4)}
		home := rapid.SampledFrom([][]string{
			{"--pot-cm", "9", "--medium", "fine bark=3,perlite=1"}, {"--pot-cm", "15", "--medium", "moss", "--material", "clay"},
			{"--top-cm", "12", "--bottom-cm", "9", "--height-cm", "11", "--medium", "LECA", "--square"}, {"--mount", "tree fern", "--mount-cm", "20x10"},
		}).Draw(t, "home")
		args = append(args, home...)
		if rapid.Bool().Draw(t, "flush") {
			args = append(args, "--flush-every-days", whole("every", 1, 7), "--flush-ml", number("flush", 1, 800))
		}
		if rapid.Bool().Draw(t, "feed") {
			args = append(args, "--feed-every-days", whole("feed every", 1, 7), "--feed-ec-ms", number("feed ec", 0, 3))
		}
		course := calculate(t, args...)["course"].(map[string]any)
		get := func(m map[string]any, key string) float64 {
			v, _ := m[key].(float64)
			return v
		}
		var lost, poured, drained float64
		for _, row := range course["days"].([]any) {
			r := row.(map[string]any)
			lost, poured, drained = lost+get(r, "lost_ml"), poured+get(r, "poured_ml"), drained+get(r, "drained_ml")
		}
		out := get(course, "surface_ml") + get(course, "wall_ml") + get(course, "roots_ml") - get(course, "vapour_ml")
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"lost", lost, out}, {"poured", poured, get(course, "poured_ml")}, {"drained", drained, get(course, "drained_ml")},
			{"poured, kept and drained", get(course, "poured_ml"), get(course, "captured_ml") + get(course, "drained_ml")},
		} {
			// The balances close to 1e-9 of some litres.
			if math.Abs(c.got-c.want) > 1e-5 {
				t.Fatalf("%s: days %v mL, totals %v mL", c.name, c.got, c.want)
			}
		}
	})
}

// Every flag with a range says it in its help.
func TestHelpSaysTheRanges(t *testing.T) {
	flags := 0
	var look func(reflect.Type)
	look = func(typ reflect.Type) {
		for i := range typ.NumField() {
			field := typ.Field(i)
			if field.Type != reflect.TypeFor[number]() {
				if field.Type.Kind() == reflect.Struct {
					look(field.Type)
				}
				continue
			}
			flags++
			low, high, _ := allowed(field.Tag.Get("range"))
			if want := fmt.Sprintf("%v to %v", low, high); !strings.Contains(field.Tag.Get("help"), want) {
				t.Errorf("the help of %s.%s does not say %q: %s", typ.Name(), field.Name, want, field.Tag.Get("help"))
			}
		}
	}
	look(reflect.TypeFor[calcCommands]())
	if flags < 40 {
		t.Errorf("only %d flags were looked at", flags)
	}
}

func TestShownNumbers(t *testing.T) {
	for _, c := range []struct {
		value    any
		decimals int
		want     string
	}{
		{1.25, 1, "1.2"}, {-0.04, 1, "0.0"}, {-0.06, 1, "−0.1"}, {-12.0, 0, "−12"}, {7, 3, "7"}, {nil, 2, ""}, {"dry", 2, "dry"},
		{ranged{1, -1, 2}, 1, "1.0 (−1.0 to 2.0)"},
	} {
		if got := shown(c.value, c.decimals, 0); got != c.want {
			t.Errorf("%v is shown as %q, want %q", c.value, got, c.want)
		}
	}
	if got := shown(0.25, 0, 100); got != "25" {
		t.Errorf("a quarter is shown as %q %%", got)
	}
}

func TestObjectsKeepTheirOrder(t *testing.T) {
	o := object{{"b", 1}, {"a", "<"}, {"c", object{}}}
	got, err := o.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"b":1,"a":"<","c":{}}`; strings.ReplaceAll(string(got), "\n", "") != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if _, err := (object{{"lost", math.NaN()}}).MarshalJSON(); err == nil || !strings.Contains(err.Error(), "lost") {
		t.Errorf("a value that is no number was written, or its key not named: %v", err)
	}
}

// A parameter is named once, in the sentence of its grade.
func TestReasonsNameWhatIsWeak(t *testing.T) {
	s := section{because: "rule", rests: []parameter{
		{"a", "first", basis.Assumed(1, 0, 2, "m")},
		{"b", "known", basis.Exactly(5, "m", basis.Published, "a paper")},
		{"c", "second", basis.Exactly(3, "1", basis.CommonPractice, "")},
		{"d", "third", basis.Value{Value: 4, Low: 3, High: 5, Unit: "kPa", Grade: basis.Published, Source: "a paper"}},
	}}
	want := "rule. Assumed: first 1 m (0 to 2). Common practice: second 3. Published range: third 4 kPa (3 to 5)."
	if got := s.reason(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	s.rests = slices.Repeat(s.rests[:1], mostNamed+2)
	if got := s.reason(); !strings.Contains(got, "and 2 more (--json lists them)") {
		t.Errorf("a long list is not cut: %s", got)
	}
}
