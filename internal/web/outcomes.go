package web

import (
	"bytes"
	"net/http"
	"net/url"
	"slices"
	"time"

	"velamen/internal/care"
	"velamen/internal/store/bundle"
)

func outcomesRoutes(on *router) {
	on.get("/outcomes", (*Server).showOutcomes)
	on.get("/outcomes.csv", (*Server).outcomesFile)
}

// outcomesView is what happened to past recoveries.
type outcomesView struct {
	frame
	Awaited, Group, Practice, Since field
	Only                            string
	Asked                           bool // something besides what is asked at first
	Nothing                         string
	Lead, Means                     string
	Notes                           []string
	Unsaid                          []plantLink
	MoreUnsaid                      int
	Between                         *betweenView
	Ends                            *endsView
	Compared                        *comparedView
	Paces                           []paceView
	PaceTitle                       string
	SetAside                        []setAsideView
	File                            string
}

// setAsideView is a recovery that cannot be right.
type setAsideView struct{ Path, Label, Repot, Why string }

// questionOf reads what is asked. Words that are no choice ask for nothing.
func (s *Server) questionOf(values url.Values) (care.OutcomeQuestion, *form) {
	f := &form{values: values, errors: map[string]string{}}
	q := care.OutcomeQuestion{Awaited: one(f, "awaited", care.Awaiteds), Group: f.short("group"), Practice: one(f, "practice", care.Practices)}
	if q.Awaited == "" {
		q.Awaited = care.FirstRoot
	}
	if text := f.text("since"); text != "" {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil || day.Year() < 1980 || day.Year() > 2200 {
			f.say("since", "%q is no day: write it as %s.", text, s.Book.Today().AddDate(-1, 0, 0).Format(time.DateOnly))
		} else {
			q.Since = day
		}
	}
	return q, f
}

// awaitedWords name what may be waited for.
var awaitedWords = map[care.Awaited]string{care.FirstRoot: "A first growing root", care.Establishment: "Re-established"}

func (s *Server) showOutcomes(w http.ResponseWriter, r *http.Request) error {
	values := r.URL.Query()
	q, f := s.questionOf(values)
	today := s.Book.Today()
	report, err := s.Book.AskOutcomes(q, today)
	if err != nil {
		return err
	}
	all := s.Book.Outcomes()
	v := &outcomesView{
		Awaited: field{Name: "awaited", Label: "What is waited for", Type: "select"}, Group: groupsOf(all, q.Group),
		Practice: field{Name: "practice", Label: "Compare by", Type: "select", Options: []choice{{"", "Nothing", q.Practice == ""}}},
		Since:    field{Name: "since", Label: "Repotted since", Type: "date", Value: values.Get("since"), Error: f.errors["since"]},
		Asked:    len(values) > 0, Means: q.Awaited.Means(),
	}
	v.Title, v.Here, v.Style = "Outcomes", "outcomes", "outcomes.css"
	for _, a := range care.Awaiteds {
		v.Awaited.Options = append(v.Awaited.Options, choice{string(a), awaitedWords[a], a == q.Awaited})
	}
	for _, p := range care.Practices {
		v.Practice.Options = append(v.Practice.Options, choice{string(p), sentence(string(p)), p == q.Practice})
	}
	v.Only = q.Group
	v.Group.Value = q.Group
	if !q.Since.IsZero() {
		v.Only = joined(v.Only, "since "+q.Since.Format("2 January 2006"))
	}
	v.File = "/outcomes.csv"
	if kept := keptQuestion(q); len(kept) > 0 {
		v.File += "?" + kept.Encode()
	}
	for _, o := range report.SetAside {
		v.SetAside = append(v.SetAside, setAsideView{"/plant/" + o.Plant, o.Label, o.Repot.Format("2 Jan 2006"), o.Problem})
	}
	switch {
	case len(all) == 0:
		v.Nothing = "No plant has been repotted yet. Once some have, this page tells how long they took to root, how they ended, and whether one way of doing it does better here."
	case len(report.Counted) == 0:
		v.Nothing = "No recovery is like that."
	default:
		s.fillOutcomes(v, report)
	}
	return s.render(w, r, http.StatusOK, "outcomes.html", v)
}

// keptQuestion is a question as an address says it.
func keptQuestion(q care.OutcomeQuestion) url.Values {
	kept := url.Values{}
	for name, value := range map[string]string{"awaited": string(q.Awaited), "group": q.Group, "practice": string(q.Practice)} {
		if value != "" {
			kept.Set(name, value)
		}
	}
	if !q.Since.IsZero() {
		kept.Set("since", q.Since.Format(time.DateOnly))
	}
	return kept
}

// groupsOf offers the groups of which there are recoveries.
func groupsOf(all []*care.Outcome, chosen string) field {
	var names []string
	for _, o := range all {
		names = append(names, o.Factors.Group)
	}
	slices.Sort(names)
	return selectOf("group", "Group", "All groups", slices.Compact(names), chosen)
}

func (s *Server) fillOutcomes(v *outcomesView, report *care.OutcomeReport) {
	v.Lead = report.Lead()
	if n := report.Unlooked; n > 0 {
		v.Notes = append(v.Notes, counted(n, "recovery", "recoveries")+" "+wasWere(n)+" never looked at for this: without looks nothing is known of them.")
	}
	if len(report.Counted) > report.Plants {
		v.Notes = append(v.Notes, "Several recoveries are of one plant; they are counted as if they had nothing to do with one another.")
	}
	for i, o := range report.Unsaid {
		if i == mostUnsaid {
			v.MoreUnsaid = len(report.Unsaid) - i
			break
		}
		v.Unsaid = append(v.Unsaid, plantLink{Path: "/plant/" + o.Plant + "/write/review", Label: o.Label, Name: o.Name})
	}
	v.Between, v.Ends = newBetweenView(report), newEndsView(report)
	if report.Compared != nil {
		v.Compared = newComparedView(report)
	}
	v.PaceTitle = awaitedWords[report.Question.Awaited]
	v.Paces = s.pacesOf(report)
}

// mostUnsaid is how many plants are named that wait for a word.
const mostUnsaid = 12

func wasWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// outcomesFile is the recoveries of a question as a table.
func (s *Server) outcomesFile(w http.ResponseWriter, r *http.Request) error {
	q, _ := s.questionOf(r.URL.Query())
	q.Practice = ""
	report, err := s.Book.AskOutcomes(q, s.Book.Today())
	if err != nil {
		return err
	}
	var text bytes.Buffer
	if err := bundle.OutcomeTable(slices.Concat(report.Counted, report.SetAside), q.Awaited).Write(&text); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="outcomes.csv"`)
	_, err = w.Write(text.Bytes())
	return err
}
