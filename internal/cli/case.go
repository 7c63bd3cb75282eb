package cli

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
	"velamen/internal/paper"
)

// caseCommand answers another grower's case.
type caseCommand struct {
	Answers   []string `arg:"" optional:"" help:"A case file (TOML), and answers as KEY=VALUE, such as roots_kept=60% or medium=\"7 medium bark, 3 perlite\". Answers go over what the file says. See --questions."`
	WhatIf    []string `help:"The same case with another answer, side by side: --what-if medium=sphagnum. May be repeated; all belong to one what-if." sep:"none" placeholder:"KEY=VALUE"`
	OrIf      []string `help:"A second what-if beside the first: --or-if medium=\"medium bark\"." sep:"none" placeholder:"KEY=VALUE"`
	Plant     string   `help:"The plant with this label, where the file tells of several." placeholder:"LABEL"`
	Date      string   `help:"The day to look at, as 2026-11-24; default today." placeholder:"DATE"`
	Units     string   `help:"Units to show, as for velamen course." placeholder:"LIST"`
	Handout   string   `help:"Write the course as a page to pin up." placeholder:"PDF"`
	Page      string   `help:"Size of that page: A4 or Letter." default:"A4" placeholder:"SIZE"`
	Save      string   `help:"Write the case as a file that can be sent and opened." placeholder:"TOML"`
	Because   bool     `help:"Explain every number."`
	JSON      bool     `name:"json" help:"Print JSON for programs."`
	Questions bool     `help:"List the questions that can be answered, and stop."`
}

func (c caseCommand) Run(r *run) error {
	if c.Questions {
		t := table{}
		for _, q := range casefile.Questions() {
			t.row(q.Key, q.Text)
		}
		t.print(r.out)
		return nil
	}
	on, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
	}
	size, err := paper.SizeOf(c.Page)
	if err != nil {
		return fmt.Errorf("--page: %w", err)
	}
	tables, err := culture.Load()
	if err != nil {
		return failed("reading the culture tables", err)
	}
	kase, units, err := c.read(r, tables, on)
	if err != nil {
		return err
	}
	if units, err = units.With(c.Units); err != nil {
		return fmt.Errorf("--units: %w", err)
	}
	course, err := care.NewCourse(kase, kase.Plants[0], tables, on)
	if err != nil {
		return err
	}
	if err := c.print(r, kase, course, units, tables, on); err != nil {
		return err
	}
	if c.Save != "" {
		if err := writeWhole(c.Save, []byte(casefile.Write(kase, units))); err != nil {
			return err
		}
	}
	if c.Handout == "" {
		return nil
	}
	return writeHandout(c.Handout, kase, kase.Plants[0], tables, units, on, size)
}

// print shows the course, or two side by side.
func (c caseCommand) print(r *run, kase care.Case, course care.Course, units care.Units, tables culture.Table, on time.Time) error {
	if len(c.WhatIf) == 0 && len(c.OrIf) == 0 {
		if c.JSON {
			return writeJSON(r.out, courseReport([]care.Course{course}, c.Because))
		}
		printCourse(r.out, course, units, c.Because)
		return nil
	}
	ways := []*care.Course{&course}
	var asked [][]string
	for _, one := range []struct {
		flag    string
		answers []string
	}{{"--what-if", c.WhatIf}, {"--or-if", c.OrIf}} {
		if len(one.answers) == 0 {
			continue
		}
		what, err := whatIf(kase, one.answers, tables, on)
		if err != nil {
			return fmt.Errorf("%s: %w", one.flag, err)
		}
		ways, asked = append(ways, &what), append(asked, one.answers)
	}
	contrasts := care.Contrasts(units, ways...)
	if c.JSON {
		return writeJSON(r.out, struct {
			Format    string          `json:"format"`
			On        string          `json:"on"`
			WhatIfs   [][]string      `json:"what_ifs"`
			Contrasts []care.Contrast `json:"contrasts"`
		}{"velamen-case-1", on.Format(time.DateOnly), asked, contrasts})
	}
	fmt.Fprintf(r.out, "%s, seen on %s\n", strings.TrimSpace(course.Label+"  "+course.Name), on.Format("Monday 2 January 2006"))
	fmt.Fprintf(r.out, "as told: %s\n", course.Home)
	t := table{}
	head := []string{"", "", "as told"}
	for i, answers := range asked {
		name := "what if"
		if i > 0 {
			name = "or if"
		}
		fmt.Fprintf(r.out, "%s: %s\n", name, strings.Join(answers, ", "))
		head = append(head, name)
	}
	fmt.Fprintln(r.out)
	t.row(head...)
	for _, one := range contrasts {
		mark := " "
		if one.Differs() {
			mark = "≠"
		}
		t.row(append([]string{mark, one.Name}, one.Ways...)...)
	}
	t.print(r.out)
	return nil
}

// whatIf is the course of a case with other answers.
func whatIf(kase care.Case, given []string, tables culture.Table, on time.Time) (care.Course, error) {
	answers, err := answersOf(given)
	if err != nil {
		return care.Course{}, err
	}
	other, _, err := casefile.Apply(kase, 0, answers, tables)
	if err != nil {
		return care.Course{}, err
	}
	return care.NewCourse(other, other.Plants[0], tables, on)
}

// read makes the case from a file, from answers, or from both.
func (c caseCommand) read(r *run, tables culture.Table, on time.Time) (care.Case, care.Units, error) {
	given := c.Answers
	name := ""
	if len(given) > 0 && !strings.Contains(given[0], "=") {
		name, given = given[0], given[1:]
	}
	answers, err := answersOf(given)
	if err != nil {
		return care.Case{}, care.Units{}, err
	}
	if name == "" {
		if len(answers) == 0 {
			return care.Case{}, care.Units{}, errors.New("tell the case: name a case file, or answer some questions, as in velamen case group=Phalaenopsis roots_kept=60% pot=\"12 cm\" medium=sphagnum; velamen case --questions lists them")
		}
		if !hasAnswer(answers, "date") {
			answers = append(answers, casefile.Answer{Key: "date", Text: on.Format(time.DateOnly)})
		}
		return casefile.Tell(answers, tables)
	}
	file, name, err := open(name, r.in)
	if err != nil {
		return care.Case{}, care.Units{}, err
	}
	defer file.Close()
	kase, units, err := casefile.Read(file, name, tables)
	if err != nil {
		return kase, units, err
	}
	plant, err := oneOf(kase.Plants, c.Plant, name)
	if err != nil {
		return kase, units, err
	}
	for i := range kase.Plants {
		if kase.Plants[i].Label == plant.Label && kase.Plants[i].Name == plant.Name {
			kase, _, err = casefile.Apply(kase, i, answers, tables)
			return kase, units, err
		}
	}
	return kase, units, fmt.Errorf("%s: no plant is called %s", name, plantTitle(plant))
}

func hasAnswer(answers []casefile.Answer, key string) bool {
	for _, a := range answers {
		if a.Key == key {
			return true
		}
	}
	return false
}

// answersOf reads KEY=VALUE.
func answersOf(given []string) ([]casefile.Answer, error) {
	answers := make([]casefile.Answer, len(given))
	for i, one := range given {
		key, text, ok := strings.Cut(one, "=")
		if !ok {
			return nil, fmt.Errorf("%q is no answer; write KEY=VALUE, such as roots_kept=60%%", one)
		}
		answers[i] = casefile.Answer{Key: strings.TrimSpace(key), Text: strings.TrimSpace(text)}
	}
	return answers, nil
}
