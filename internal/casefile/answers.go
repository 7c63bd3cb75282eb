package casefile

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"velamen/internal/care"
	"velamen/internal/culture"
)

// Answer is one question about a case and what was answered, written as in a
// case file but without quotation marks: roots_kept = 60 %.
type Answer struct{ Key, Text string }

// AnswerProblem is what is wrong with one answer.
type AnswerProblem struct{ Key, Message string }

func (p AnswerProblem) Error() string { return p.Key + ": " + p.Message }

// AnswerProblems is everything that is wrong with a list of answers.
type AnswerProblems []AnswerProblem

func (p AnswerProblems) Error() string {
	lines := make([]string, len(p))
	for i, one := range p {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// question is where an answer stands in a case file and how it is written there.
type question struct {
	key, table string
	as         string // the key there, where it differs
	write      func(text string) string
	asks       string
}

func bareText(text string) string { return strings.ReplaceAll(text, "−", "-") }

// questions are those that a case can be told by, the most telling first.
var questions = []question{
	{"group", "plant", "", quote, "what sort of orchid: a genus, a group or an abbreviation"},
	{"name", "plant", "", quote, "its name"},
	{"label", "plant", "", quote, "what stands on its tag"},
	{"date", "repot", "", bareText, "the day of the work, 2026-11-01"},
	{"work", "repot", "", quote, "repotted, divided or mounted"},
	{"roots_kept", "repot", "", quote, "living roots kept, 60 %"},
	{"root_tips", "repot", "", bareText, "growing root tips seen"},
	{"leaves_kept", "repot", "", quote, "leaves kept, 100 %"},
	{"pot", "to", "", quote, "size of the new pot, 12 cm or 4.5 in"},
	{"medium", "to", "", quoteMix, `the new medium: sphagnum, or "7 medium bark, 3 perlite"`},
	{"material", "to", "", quote, "what the new pot is made of"},
	{"mount", "to", "", quoteMount, `the mount it came onto, "cork 12 x 25 cm"`},
	{"soaked", "repot", "", quote, "how long the new medium was soaked, 12 h"},
	{"from_pot", "from", "pot", quote, "size of the old pot"},
	{"from_medium", "from", "medium", quoteMix, "the old medium"},
	{"from_material", "from", "material", quote, "what the old pot was made of"},
	{"flowers", "repot", "", quote, "none, in spike or in bloom"},
	{"leaves", "plant", "", bareText, "how many leaves"},
	{"leaf_length", "plant", "", quote, "length of a leaf, 22 cm"},
	{"leaf_width", "plant", "", quote, "width of a leaf, 5.5 cm"},
	{"pseudobulbs", "plant", "", bareText, "how many bulbs or canes"},
	{"vigour", "plant", "", quote, "before the work: strong, ordinary, weak or rescue"},
	{"space", "space", "kind", quote, "windowsill, lamp shelf, glasshouse, glazed balcony, shaded terrace or enclosure"},
	{"temperature", "space", "", quote, "a usual night to a usual day, 17 to 25 °C"},
	{"humidity", "space", "", quote, "a usual day to a usual night, 45 to 60 %"},
	{"air", "space", "", quote, "still, gentle, moving or strong"},
	{"light", "space", "", quote, "at the leaves, 1200 fc"},
	{"light_from", "space", "", quote, "sun, led, …"},
	{"light_hours", "space", "", quote, "hours of lamp light, 13 h"},
	{"water_ec", "water", "ec", quote, "EC of the water, 30 µS/cm or 15 ppm (500)"},
	{"strength", "routine", "", quote, "usual feed, 0.8 g/L, 100 ppm N or the EC of the mixed feed"},
	{"feed_every", "routine", "", quote, "7 days"},
	{"water_every", "routine", "", quote, "5 days"},
	{"latitude", "place", "", bareText, "−37.8 is south"},
	{"longitude", "place", "", bareText, "145, east is positive"},
	{"altitude", "place", "", quote, "60 m"},
}

// Questions lists the keys that answers may have, with what each asks.
func Questions() []Answer {
	list := make([]Answer, len(questions))
	for i, q := range questions {
		list[i] = Answer{q.key, q.asks}
	}
	return list
}

// written is an answer as it stands in a case file. A medium whose name has a
// comma in it is no mix.
func (q question) written(text string, tables culture.Table) string {
	if q.key != "medium" && q.key != "from_medium" || !strings.Contains(text, ",") {
		return q.write(text)
	}
	medium, err := tables.Medium(text)
	name := " " + strings.ToLower(strings.ReplaceAll(medium.Name, ",", "")) + " "
	for _, word := range strings.Fields(strings.ToLower(strings.ReplaceAll(text, ",", ""))) {
		if err != nil || !strings.Contains(name, " "+word+" ") {
			return q.write(text)
		}
	}
	return quote(text)
}

// quoteMix writes "7 medium bark, 3 perlite" or "medium bark 7, perlite 3" as a
// mix, and one medium alone as itself.
func quoteMix(text string) string {
	parts := strings.Split(text, ",")
	if len(parts) == 1 {
		return quote(strings.TrimSpace(text))
	}
	mix := make([]string, 0, len(parts))
	for _, part := range parts {
		words := strings.Fields(part)
		if len(words) == 0 {
			continue
		}
		number, names := "1", words
		switch last := len(words) - 1; {
		case unicode.IsDigit([]rune(words[0])[0]):
			number, names = words[0], words[1:]
		case unicode.IsDigit([]rune(words[last])[0]):
			number, names = words[last], words[:last]
		}
		if strings.IndexFunc(number, func(r rune) bool { return !unicode.IsDigit(r) && r != '.' }) >= 0 {
			number = quote(number) // the reader says what is wrong with it
		}
		mix = append(mix, quote(strings.Join(names, " "))+" = "+number)
	}
	return "{ " + strings.Join(mix, ", ") + " }"
}

// quoteMount writes "cork 12 x 25 cm" or "cork" as a mount.
func quoteMount(text string) string {
	at := strings.IndexFunc(text, unicode.IsDigit)
	if at < 0 {
		return "{ material = " + quote(strings.TrimSpace(text)) + " }"
	}
	return "{ material = " + quote(strings.TrimSpace(text[:at])) + ", size = " + quote(text[at:]) + " }"
}

// Apply lays answers over one plant of a case, and returns the case of that
// plant alone. Another kind of space brings its own climate: what was said of
// the old one does not hold there. What is wrong is returned as AnswerProblems;
// the case is unchanged then.
func Apply(base care.Case, plant int, answers []Answer, tables culture.Table) (care.Case, care.Units, error) {
	if plant < 0 || plant >= len(base.Plants) {
		return base, care.Units{}, fmt.Errorf("the case has %d plants; there is none with the number %d", len(base.Plants), plant+1)
	}
	said, units, err := readAnswers(base.Plants[plant], answers, tables)
	if err != nil {
		return base, units, err
	}
	return overlay(alone(base, plant), said, answers), units, nil
}

// Tell makes a case of answers alone.
func Tell(answers []Answer, tables culture.Table) (care.Case, care.Units, error) {
	var missing AnswerProblems
	for _, q := range questions {
		if (q.key == "group" || q.key == "date") && !answered(answers, q.key) {
			missing = append(missing, AnswerProblem{q.key, "is missing: " + q.asks})
		}
	}
	if missing != nil {
		return care.Case{}, care.Units{}, missing
	}
	return Apply(care.Case{Plants: []care.Plant{{}}}, 0, answers, tables)
}

func answered(answers []Answer, key string) bool {
	return slices.ContainsFunc(answers, func(a Answer) bool { return a.Key == key })
}

// readAnswers writes answers as a case file and reads it, so that there is one
// reader for both.
func readAnswers(plant care.Plant, answers []Answer, tables culture.Table) (care.Case, care.Units, error) {
	byTable := map[string][]string{}
	keyOf := map[string]string{} // line of the file, to the key that was answered
	var problems AnswerProblems
	for i, a := range answers {
		at := slices.IndexFunc(questions, func(q question) bool { return q.key == a.Key })
		switch {
		case at < 0:
			known := make([]string, len(questions))
			for i, q := range questions {
				known[i] = q.key
			}
			message := "is not a question"
			if near := nearest(a.Key, known); near != "" {
				message += fmt.Sprintf("; did you mean %s?", near)
			}
			problems = append(problems, AnswerProblem{a.Key, message})
			continue
		case slices.ContainsFunc(answers[:i], func(b Answer) bool { return b.Key == a.Key }):
			problems = append(problems, AnswerProblem{a.Key, "is answered twice"})
			continue
		case strings.ContainsFunc(a.Text, unicode.IsControl) || strings.ContainsRune(a.Text, '#') && questions[at].write("x") == "x":
			problems = append(problems, AnswerProblem{a.Key, "holds signs that no answer has"})
			continue
		}
		q := questions[at]
		key := q.as
		if key == "" {
			key = q.key
		}
		line := key + " = " + q.written(strings.TrimSpace(a.Text), tables)
		byTable[q.table] = append(byTable[q.table], line)
		keyOf[q.table+"\n"+line] = a.Key
	}
	if len(problems) > 0 {
		return care.Case{}, care.Units{}, problems
	}
	if !answered(answers, "group") {
		byTable["plant"] = append(byTable["plant"], `group = "Phalaenopsis"`)
	}
	if !answered(answers, "date") {
		date := "2026-01-01"
		if !plant.Repot.Date.IsZero() {
			date = plant.Repot.Date.Format("2006-01-02")
		}
		byTable["repot"] = append(byTable["repot"], "date = "+date)
	}
	if byTable["space"] != nil {
		byTable["space"] = append(byTable["space"], `name = "there"`)
	}
	if byTable["water"] != nil {
		byTable["water"] = append(byTable["water"], `name = "`+someWater+`"`)
	}
	var text strings.Builder
	var lines []string // the key of each line
	put := func(line, key string) {
		text.WriteString(line + "\n")
		lines = append(lines, key)
	}
	for _, table := range []struct{ name, header string }{
		{"place", "[place]"}, {"space", "[[space]]"}, {"water", "[[water]]"}, {"routine", "[routine]"},
		{"plant", "[[plant]]"}, {"repot", "[plant.repot]"}, {"from", "[plant.repot.from]"}, {"to", "[plant.repot.to]"},
	} {
		if byTable[table.name] == nil {
			continue
		}
		put(table.header, "")
		for _, line := range byTable[table.name] {
			put(line, keyOf[table.name+"\n"+line])
		}
	}
	said, units, err := Read(strings.NewReader(text.String()), "answers", tables)
	found, ok := err.(*Problems)
	if err != nil && !ok {
		return said, units, err
	}
	if ok {
		for _, p := range found.List {
			key := ""
			if p.Line >= 1 && p.Line <= len(lines) {
				key = lines[p.Line-1]
			}
			if key == "" {
				key = "case"
			}
			problems = append(problems, AnswerProblem{key, p.Message})
		}
		return said, units, problems
	}
	p := &said.Plants[0]
	if !answered(answers, "group") {
		p.Group = ""
	}
	if !answered(answers, "date") {
		p.Repot.Date = plant.Repot.Date
	}
	if !answered(answers, "label") {
		p.Label = "" // the reader numbers plants without a label
	}
	return said, units, nil
}

// someWater is what a water is called of which only the EC was answered.
const someWater = "the water there is"
