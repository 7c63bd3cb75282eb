package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/science/growth"
)

func collectionRoutes(on *router) {
	on.get("/collection", (*Server).showCollection)
	on.get("/p/{label}", (*Server).openByLabel)
	on.post("/collection/act", (*Server).askMany, upTo(manyBytes))
	on.post("/collection/write", (*Server).writeMany, upTo(manyBytes))
}

// rowsPerPage is as many plants as one page lists.
const rowsPerPage = 50

// collectionView is the list of plants.
type collectionView struct {
	frame
	Query     string // what is looked for, as the address says it
	Missing   string // a label that no plant has
	Text      field
	Space     field
	Group     field
	Verdict   field
	Order     field
	Standing  string
	Standings []standingLink
	Filtered  bool // besides by standing
	Rows      []collectionRow
	Total     int
	Shown     string // "1 to 50 of 312"
	Unknown   int
	Everyone  int
	Before    string
	After     string
	Act       actForm
}

// standingLink leads to the plants that stand at one point.
type standingLink struct {
	Path, Name string
	Count      int
	Counted    bool
	Here       bool
}

// collectionRow is one plant.
type collectionRow struct {
	ID, Path, Label, Name, Group, Space string
	Stands                              string
	Verdict, VerdictRole                string
	Intensive, Ended, Ticked            bool
}

// standingWords name the standings where one is chosen.
var standingWords = map[book.Standing]string{
	"": "living here", book.Settling: "settling", book.Rooting: "rooting", book.Later: "after six weeks",
	book.Intensive: "intensive care", book.Usual: "usual care", book.Ended: "ended",
}

var orderWords = map[book.Order]string{
	book.ByLabel: "Label", book.ByName: "Name", book.BySpace: "Space, in walking order", book.ByRepot: "Latest repot first",
	book.ByQuiet: "Longest without an entry first", book.ByArrival: "Latest arrival first",
}

// queryOf reads what is looked for. Words that are no choice ask for nothing.
func queryOf(values url.Values) (book.Query, url.Values) {
	f := &form{values: values, errors: map[string]string{}}
	q := book.Query{
		Text: f.short("q"), Space: f.short("space"), Group: f.short("group"),
		Standing: one(f, "standing", book.Standings), Verdict: one(f, "verdict", verdictWords), Order: one(f, "sort", book.Orders),
	}
	kept := url.Values{}
	for name, value := range map[string]string{"q": q.Text, "space": q.Space, "group": q.Group, "standing": string(q.Standing), "verdict": q.Verdict, "sort": string(q.Order)} {
		if value != "" {
			kept.Set(name, value)
		}
	}
	return q, kept
}

func (s *Server) showCollection(w http.ResponseWriter, r *http.Request) error {
	v, err := s.collectionAt(r, r.URL.Query())
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "collection.html", v)
}

// collectionAt lists one page of what is looked for.
func (s *Server) collectionAt(r *http.Request, asked url.Values) (*collectionView, error) {
	q, kept := queryOf(asked)
	page, err := strconv.Atoi(asked.Get("page"))
	if err != nil || page < 1 || page > 1_000_000 {
		page = 1
	}
	q.From = (page - 1) * rowsPerPage
	q.To = q.From + rowsPerPage
	today := s.Book.Today()
	found, err := s.Book.Find(r.Context(), q, today)
	if err != nil {
		return nil, err
	}
	v := &collectionView{
		Query: kept.Encode(), Missing: asked.Get("missing"), Standing: string(q.Standing), Total: found.Total, Unknown: found.Unknown, Everyone: found.Collection,
		Filtered: q.Text != "" || q.Space != "" || q.Group != "" || q.Verdict != "",
		Text:     field{Name: "q", Label: "Find", Value: q.Text, Type: "search"},
		Space:    selectOf("space", "Space", "Any space", found.Spaces, q.Space),
		Group:    selectOf("group", "Group", "Any group", found.Groups, q.Group),
		Verdict:  selectOf("verdict", "Verdict", "Any verdict", verdictWords, q.Verdict),
		Order:    orderField(q.Order),
		Act:      newActForm(found.Spaces),
	}
	v.Title, v.Here, v.Style, v.Module = "Collection", "collection", "collection.css", "modules/collection.js"
	v.Standings = standingLinks(kept, found.Counts, q.Standing)
	for _, p := range found.Plants {
		v.Rows = append(v.Rows, newCollectionRow(p, today))
	}
	at := func(page int) string {
		to := url.Values{"page": {strconv.Itoa(page)}}
		for name := range kept {
			to.Set(name, kept.Get(name))
		}
		return "/collection?" + to.Encode()
	}
	if page > 1 {
		v.Before = at(page - 1)
	}
	if q.To < found.Total {
		v.After = at(page + 1)
	}
	if found.Total > rowsPerPage && len(v.Rows) > 0 {
		v.Shown = fmt.Sprintf("%d to %d of %d", q.From+1, q.From+len(v.Rows), found.Total)
	}
	return v, nil
}

// selectOf makes a select of names, one of which may be chosen.
func selectOf(name, label, any string, names []string, chosen string) field {
	f := field{Name: name, Label: label, Type: "select", Value: chosen, Options: []choice{{"", any, chosen == ""}}}
	for _, one := range names {
		f.Options = append(f.Options, choice{one, one, one == chosen})
	}
	return f
}

func orderField(chosen book.Order) field {
	f := field{Name: "sort", Label: "In the order of", Type: "select"}
	for _, o := range book.Orders {
		f.Options = append(f.Options, choice{string(o), orderWords[o], o == chosen})
	}
	return f
}

func standingLinks(kept url.Values, counts map[book.Standing]int, here book.Standing) []standingLink {
	living := 0
	for standing, n := range counts {
		if standing != book.Ended && standing != book.Intensive {
			living += n
		}
	}
	link := func(standing book.Standing, count int) standingLink {
		to := url.Values{}
		for name := range kept {
			to.Set(name, kept.Get(name))
		}
		to.Del("standing")
		if standing != "" {
			to.Set("standing", string(standing))
		}
		l := standingLink{Path: "/collection", Name: standingWords[standing], Count: count, Here: standing == here, Counted: true}
		if len(to) > 0 {
			l.Path += "?" + to.Encode()
		}
		return l
	}
	list := []standingLink{link("", living)}
	for _, standing := range book.Standings {
		one := link(standing, counts[standing])
		// How many need intensive care is known only once it was asked.
		one.Counted = standing != book.Intensive || here == book.Intensive
		if one.Count > 0 || !one.Counted || one.Here {
			list = append(list, one)
		}
	}
	return list
}

func newCollectionRow(p book.Listed, today time.Time) collectionRow {
	row := collectionRow{
		ID: p.ID, Path: "/plant/" + p.ID, Label: p.Label, Name: p.Name, Group: p.Group, Space: p.Space,
		Intensive: p.Intensive, Ended: !p.Ended.IsZero(),
	}
	if p.Known {
		row.Verdict, row.VerdictRole = p.Verdict, verdictRoles[p.Verdict]
		if p.Emergency {
			row.Verdict = "act now"
		}
	}
	switch {
	case row.Ended:
		row.Stands = endedWords[p.EndedHow] + " on " + p.Ended.Format("2 Jan 2006")
	case p.Day < 0:
		row.Stands = "never repotted"
	case p.Standing == book.Usual:
		row.Stands = "usual care, repotted " + today.AddDate(0, 0, -p.Day).Format("Jan 2006")
	case p.Known || p.Standing != book.Later:
		row.Stands = fmt.Sprintf("day %d, %s", p.Day, p.Stage)
		if row.Verdict == string(p.Stage) {
			row.Stands = fmt.Sprintf("day %d", p.Day) // the verdict beside it says the same word
		}
	default:
		row.Stands = fmt.Sprintf("day %d", p.Day)
	}
	return row
}

// endedWords say how a plant's time here ended.
var endedWords = map[care.Kind]string{care.PlantLost: "lost", care.PlantLeft: "left"}

// verdictWords are the verdicts as they are chosen by, and verdictRoles how they
// are shown.
var (
	verdictWords = func() (list []string) {
		for _, s := range growth.Standings {
			list = append(list, s.String())
		}
		return list
	}()
	verdictRoles = map[string]string{
		growth.Rooting.String(): "growth", growth.Holding.String(): "plain", growth.Stalled.String(): "waiting",
		growth.Declining.String(): "waiting", growth.TooEarly.String(): "plain",
	}
)

// openByLabel opens the plant whose label was scanned or typed.
func (s *Server) openByLabel(w http.ResponseWriter, r *http.Request) error {
	label := r.PathValue("label")
	var id string
	s.Book.Read(func(c *care.Collection) {
		if p, err := c.ByLabel(label); err == nil {
			id = p.ID
		}
	})
	if id != "" {
		return seeOther(w, r, "/plant/"+id)
	}
	v, err := s.collectionAt(r, url.Values{"q": {label}, "missing": {label}})
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusNotFound, "collection.html", v)
}

var errNoPlants = errors.New("no plant was ticked")
