package web

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"net/http"
)

//go:embed templates
var templateFiles embed.FS

// screens lists every page with its view, so that they can all be checked
// against each other. Each view embeds frame.
var screens = []struct {
	file string
	view view
}{
	{"round.html", &roundView{}},
	{"round-job.html", &jobPage{}},
	{"climate.html", &climateView{}},
	{"round-ahead.html", &aheadView{}},
	{"round-short.html", &shortView{}},
	{"planning.html", &planningView{}},
	{"collection.html", &collectionView{}},
	{"collection-many.html", &manyView{}},
	{"plant.html", &plantView{}},
	{"plant-record.html", &recordView{}},
	{"plant-write.html", &writeView{}},
	{"plant-label.html", &labelView{}},
	{"plant-pests.html", &plantPestsView{}},
	{"pests.html", &pestsView{}},
	{"water.html", &waterView{}},
	{"water-one.html", &oneWaterView{}},
	{"water-feed.html", &oneFeedView{}},
	{"water-tank.html", &tankView{}},
	{"water-mixing.html", &mixingView{}},
	{"water-flush.html", &drainageCheck{}},
	{"photo-list.html", &photosView{}},
	{"photo-measure.html", &measureView{}},
	{"repot.html", &repotView{}},
	{"repot-done.html", &repottedView{}},
	{"more.html", &moreView{}},
	{"season.html", &seasonView{}},
	{"outcomes.html", &outcomesView{}},
	{"spaces.html", &spacesView{}},
	{"space.html", &spaceView{}},
	{"paper.html", &paperView{}},
	{"spots.html", &spotsView{}},
	{"places.html", &placesView{}},
	{"placement.html", &placementView{}},
	{"case.html", &caseForm{}},
	{"case-answer.html", &caseView{}},
	{"sharing.html", &sharingView{}},
	{"shared.html", &sharedView{}},
	{"settings.html", &settingsView{}},
	{"start.html", &startView{}},
	{"sign-in.html", &signInView{}},
	{"certificate.html", &certificateView{}},
	{"error.html", &errorView{}},
}

// view is what a page shows.
type view interface{ page() *frame }

// frame is what every page shows around its own: embed it in a view, and set
// Title and Here. render fills in the rest.
type frame struct {
	Title  string
	Here   string // key of the navigation entry this page belongs to
	Notice string // what was just done
	Module string // "modules/round.js", if the page has one
	Style  string // "round.css", if the page needs more than app.css

	Links   []link
	Further bool // this page is one of those behind More
	Bare    bool // for somebody who sees nothing else: no navigation
}

func (f *frame) page() *frame { return f }

// link is one entry of the navigation.
type link struct {
	Path, Name string
	Here       bool
	Further    bool   // on a phone it stands behind More
	Says       string // what is there, for the list behind More
}

// navigation leads to the screens that exist. A phone has room for the four of
// the day's use; the further ones stand behind More there, and in line on a
// wider screen.
var navigation = []struct {
	key, path, name string
	further         bool
	says            string
}{
	{"round", "/", "Round", false, ""},
	{"collection", "/collection", "Collection", false, ""},
	{"repot", "/repot", "Repot", false, ""},
	{"season", "/season", "Season", true, "what to repot, and when"},
	{"spaces", "/spaces", "Spaces", true, "climate, spots, where to put a plant"},
	{"water", "/water", "Water", true, "today’s cans, tanks, feeds"},
	{"pests", "/pests", "Pests", true, "what is watched for, blades"},
	{"outcomes", "/outcomes", "Outcomes", true, "what became of past repots"},
	{"cases", "/cases", "Cases", true, "somebody else’s plant"},
	{"paper", "/paper", "Paper", true, "labels, the round, the season’s work"},
	{"sharing", "/sharing", "Sharing", true, "links for a sitter, a calendar"},
	{"settings", "/settings", "Settings", true, "units, usual care, what a day allows"},
}

// notices are what may be said after a form was taken. The query of a page
// names one, so that nobody can put words of their own there.
var notices = map[string]string{
	"anew":      "This is a new plan.",
	"back":      "Taken back.",
	"foreseen":  "The plan goes by this forecast now.",
	"kept":      "Kept.",
	"begun":     "Kept. Write down a first repot, or add plants that were left alone under Collection.",
	"by":        "This device knows who does the round.",
	"added":     "Added. Write down its repot to begin its course.",
	"answered":  "Noted. The reading before stays in the journal.",
	"withdrawn": "Withdrawn. The journal still shows it.",
	"sample":    "The sample collection is in. Nothing in it is real; take it out again under Settings.",
	"mixed":     "Noted: the batch is mixed, and what it took is off the stock.",
	"cleared":   "The sample plants have left the collection.",
	"dropped":   "Dropped. The journal still has it.",
	"unshared":  "Taken back. The link shows nothing any more.",
	"ticked":    "Ticked. Thank you.",
	"noted":     "Noted. Thank you.",
	"revoked":   "That machine has no access any more.",
}

// pageSet holds the parsed template of each page.
type pageSet map[string]*template.Template

// functions of templates. Prefer a field of the view to a function.
func templateFunctions(a assets) template.FuncMap {
	return template.FuncMap{"asset": a.path}
}

// parsePages parses every page within the layout.
func parsePages(a assets) (pageSet, error) {
	base, err := template.New("layout.html").Funcs(templateFunctions(a)).ParseFS(templateFiles, "templates/layout.html", "templates/partials/*.html")
	if err != nil {
		return nil, err
	}
	pages := pageSet{}
	for _, s := range screens {
		page, err := base.Clone()
		if err == nil {
			page, err = page.ParseFS(templateFiles, "templates/"+s.file)
		}
		if err != nil {
			return nil, fmt.Errorf("page %s: %w", s.file, err)
		}
		pages[s.file] = page
	}
	return pages, nil
}

// render shows a view. Nothing is sent unless the whole page could be made.
func (s *Server) render(w http.ResponseWriter, r *http.Request, status int, file string, v view) error {
	f := v.page()
	if (s.access.signedIn(r) || !s.access.required) && !f.Bare {
		for _, n := range navigation {
			here := n.key == f.Here
			f.Links = append(f.Links, link{Path: n.path, Name: n.name, Here: here, Further: n.further, Says: n.says})
			f.Further = f.Further || here && n.further || f.Here == moreKey
		}
	}
	if f.Notice == "" {
		f.Notice = notices[r.URL.Query().Get("done")]
	}
	var text bytes.Buffer
	if err := s.pages[file].ExecuteTemplate(&text, "layout.html", v); err != nil {
		return fmt.Errorf("page %s: %w", file, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	content := choosePacked(w, r, text.Bytes(), packed(text.Bytes()))
	w.WriteHeader(status)
	_, err := w.Write(content)
	return err
}
