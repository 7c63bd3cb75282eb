package e2e

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"maps"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/web"
)

// state is a page in one of the states that people meet.
type state struct {
	name string // also of its picture
	at   string // path; "{P-001}" stands for the id of that plant, empty for the page before
	then func(*phone)
	says string // what must be on the page, lest another one be looked at
}

// household is a collection with the states it can be met in, in an order in
// which they do not disturb each other.
type household struct {
	name   string
	change []func(*home)
	ready  func(*testing.T, *home, *phone)
	states []state
}

// visit looks at every state of every household, at as many households at once
// as there are processors.
func visit(t *testing.T, look func(t *testing.T, p *phone, name string)) {
	for _, hd := range households() {
		t.Run(hd.name, func(t *testing.T) {
			t.Parallel()
			h := newHome(t, hd.change...)
			p := newPhone(t)
			if hd.ready != nil {
				hd.ready(t, h, p)
			}
			for _, s := range hd.states {
				t.Run(s.name, func(t *testing.T) {
					defer func(before *testing.T) { p.t = before }(p.t)
					p.t = t
					p.look(h, s)
					look(t, p, hd.name+"_"+s.name)
				})
			}
		})
	}
}

// look brings a page into a state.
func (p *phone) look(h *home, s state) {
	p.t.Helper()
	if s.at != "" {
		before, rest, found := strings.Cut(s.at, "{")
		if word, after, _ := strings.Cut(rest, "}"); found {
			before += h.word(word) + after
		}
		p.goTo(h.url(before))
	}
	if s.then != nil {
		s.then(p)
	}
	p.says(s.says)
}

// word is what stands for a name in a path.
func (h *home) word(name string) string {
	h.t.Helper()
	switch name {
	case "tomorrow":
		return h.book.Today().AddDate(0, 0, 1).Format(time.DateOnly)
	case "job":
		return url.QueryEscape(h.due("P-001", care.Flushing).Key)
	}
	return h.id(name)
}

// id is that of the plant with a label.
func (h *home) id(label string) (id string) {
	h.t.Helper()
	h.book.Read(func(c *care.Collection) {
		if p, err := c.ByLabel(label); err == nil {
			id = p.ID
		}
	})
	if id == "" {
		h.t.Fatalf("there is no plant %s", label)
	}
	return id
}

// types fills fields of the page's form by their names.
func (p *phone) types(values map[string]string) {
	p.t.Helper()
	for _, name := range slices.Sorted(maps.Keys(values)) {
		ok := ask[bool](p, fmt.Sprintf(`(() => {
			const list = [...document.querySelectorAll("main [name=" + CSS.escape(%[1]q) + "]")].filter((e) => e.type !== "hidden");
			const one = list.length > 1 && list[0].type === "radio" ? list.find((e) => e.value === %[2]q) : list[0];
			if (!one) return false;
			if (one.type === "radio" || one.type === "checkbox") one.checked = %[2]q !== "";
			else one.value = %[2]q;
			one.dispatchEvent(new Event("input", { bubbles: true }));
			one.dispatchEvent(new Event("change", { bubbles: true }));
			return one.type === "radio" || one.type === "checkbox" || one.value === %[2]q;
		})()`, name, values[name]))
		if !ok {
			p.t.Fatalf("there is no field %s for %q\n%s", name, values[name], p.text())
		}
	}
}

// presses a button or a link by what stands on it, and waits for the next page.
func (p *phone) presses(text string) {
	p.t.Helper()
	p.until(`document.readyState === "complete"`)
	found := ask[bool](p, fmt.Sprintf(`(() => {
		const all = [...document.querySelectorAll("main button, main a, main summary")].filter((b) => b.textContent.trim() === %q);
		const one = all.find((b) => b.type === "submit") ?? all[0];
		if (!one) return false;
		one.closest("details")?.setAttribute("open", "");
		window.left = true;
		one.click();
		return true;
	})()`, text))
	if !found {
		p.t.Fatalf("nothing here is called %q\n%s", text, p.text())
	}
	p.until(`!window.left && document.readyState === "complete"`)
}

// fillIn fills in a form of the page and sends it.
func fillIn(values map[string]string, button string) func(*phone) {
	return func(p *phone) {
		p.t.Helper()
		p.types(values)
		// What the browser itself would refuse has to reach the server too.
		ask[bool](p, `(() => { document.querySelectorAll("form").forEach((f) => { f.noValidate = true; }); return true; })()`)
		p.presses(button)
	}
}

// inPage lets an expression work on the page.
func inPage(expression string) func(*phone) {
	return func(p *phone) {
		p.t.Helper()
		p.until(`document.readyState === "complete"`)
		ask[bool](p, `(() => { `+expression+`; return true; })()`)
	}
}

// households are the collections in which every page is met in every state that
// matters.
func households() []household {
	return []household{newcomers(), looked(), forty(), abroad(), locked()}
}

// newcomers have nothing yet.
func newcomers() household {
	return household{
		name:   "new",
		change: []func(*home){func(h *home) { h.with = nil }},
		states: []state{
			{"start", "/start", nil, "A first place"},
			{"start-wrong", "/start", fillIn(map[string]string{"place": "somewhere warm", "day": "280", "day_humidity": "140", "water_ec": "lots"}, "Begin"), "Give it a name"},
			{"more", "/more", nil, "Spaces"},
			{"settings", "/settings", nil, "What a day allows"},
			{"started", "/start", fillIn(map[string]string{"space": "kitchen sill"}, "Begin"), "Kept."},
			{"round", "/", nil, "Nothing is due"},
			{"collection", "/collection", nil, "Add the first"},
			{"spaces", "/spaces", nil, "No plant lives here yet"},
			{"space", "/space/kitchen%20sill", nil, "Take out"},
			{"outcomes", "/outcomes", nil, "No plant has been repotted yet"},
			{"certificate", "/certificate", nil, "made no certificate"},
		},
	}
}

// looked is the sample as somebody sees it who only wants to look.
func looked() household {
	return household{
		name: "sample",
		change: []func(*home){func(h *home) {
			h.with = func(h *home) {
				if err := h.pages.LoadSample(h.t.Context()); err != nil {
					h.t.Fatal(err)
				}
			}
		}},
		states: []state{
			{"round", "/?done=sample", nil, "The sample collection is in"},
			{"round-days", "/round/ahead", nil, "What a job takes"},
			{"round-away-wrong", "/round/ahead", fillIn(map[string]string{"from": "2020-01-02", "to": "2020-01-01"}, "Plan for it"), "Days away"},
			{"round-short", "/round/short?minutes=20", nil, "You have 20 min"},
			{"round-short-wrong", "/round/short?minutes=few", nil, "few"},
			{"season", "/season", nil, "To have ready"},
			{"settings", "/settings", nil, "Take the sample out"},
			{"climate-week", "/space/balcony/climate", nil, "Worst off"},
			{"climate-day", "/space/shelf/climate?show=day", nil, "Last readings"},
			{"climate-season", "/space/terrace/climate?show=season", nil, "Season"},
			{"water", "/water", nil, "Today's cans"},
			{"pests", "/pests", nil, "What hides where"},
			{"pests-wrong", "/pests", fillIn(map[string]string{"blade": " "}, "Keep"), "Which blade was it?"},
			{"plant-pests", "/plant/{P-005}/pests", nil, "Set it apart"},
			{"plant-emergency", "/plant/{M-001}", func(p *phone) { p.presses("A dark, wet patch that spreads") }, "Act now"},
			{"collection-verdict", "/collection?verdict=declining", nil, "act now"},
			{"outcomes", "/outcomes", nil, "How long it takes"},
			{"outcomes-compared", "/outcomes?practice=season", nil, "Compared by: Season"},
			{"outcomes-many-ways", "/outcomes?practice=medium&awaited=established", nil, "Each"},
			{"outcomes-one-group", "/outcomes?practice=soaking+the+medium&group=Cattleya+%28standard%2C+unifoliate+and+hybrids%29", nil, "not enough plants to tell"},
		},
	}
}

// forty plants, all due, with photographs and roots. Their round is that of the
// sample, only longer.
func forty() household {
	answers := map[string]string{
		"flush": "Poured in all", "feed": "EC of the solution", "water": "Between two flushes", "mist": "About how much", "supplement": "Seaweed",
		"weigh": "whole pot", "drainage": "One cup", "wetness": "With a finger", "roots": "From the mark", "counts": "newest bulb", "sign": "no number says", "blade": "Which blade", "pests": "Pest look", "treatment": "label",
		"photograph": "same side", "move": "another space", "spike": "your choice", "review": "Review", "note": "Note", "lost": "died", "left": "Given away",
	}
	hd := household{
		name:  "forty",
		ready: func(t *testing.T, h *home, _ *phone) { h.live(t) },
		change: []func(*home){func(h *home) {
			h.config = func(c *web.Config) {
				a, err := web.NewAuthority([]string{"127.0.0.1"}, h.now())
				if err != nil {
					h.t.Fatal(err)
				}
				if c.Authority, _, err = a.PEM(); err != nil {
					h.t.Fatal(err)
				}
			}
		}},
		states: []state{
			{"job", "/round/job?job={job}", nil, "Or skip it"},
			{"job-wrong", "", fillIn(map[string]string{"ec": "820", "mass": "heavy"}, "Flushed"), "820 cannot be right"},
			{"collection", "/collection", nil, "P-001"},
			{"collection-filtered", "/collection?q=cattleya&standing=rooting", nil, "Cattleya"},
			{"collection-nothing", "/collection?q=begonia", nil, "No plant is found by this"},
			{"collection-no-label", "/p/P-00", nil, "No plant has the label P-00"},
			{"collection-ticked", "/collection", inPage(`[...document.querySelectorAll("[name=plant]")].slice(0, 4).forEach((box) => box.click()); document.querySelector("[name=act]").value = "move"; document.querySelector("[name=act]").dispatchEvent(new Event("change", { bubbles: true }))`), "P-001"},
			{"collection-many-wrong", "/collection", fillIn(map[string]string{"act": "move"}, "Go on"), "P-001"},
			{"collection-many", "/collection", func(p *phone) {
				inPage(`[...document.querySelectorAll("[name=plant]")].slice(0, 9).forEach((box) => { box.checked = true; })`)(p)
				fillIn(map[string]string{"act": "move", "to_space": "terrace", "note": "the shelf is being painted"}, "Go on")(p)
			}, "Write this down?"},
			{"plant", "/plant/{C-001}", nil, "The course"},
			{"plant-not-repotted", "/plant/{N-001}", nil, "has no course"},
			{"plant-gone", "/plant/{N-002}", nil, "Journal"},
			{"plant-mounted", "/plant/{U-001}", nil, "Journal"},
			{"record", "/plant/{C-001}/record", nil, "What it is"},
			{"record-wrong", "/plant/{C-001}/record", fillIn(map[string]string{"label": "P-001", "group": "no such group", "leaves": "many", "leaf_length": "-3"}, "Keep"), "P-001"},
			{"plant-new", "/plant/new", nil, "What it is"},
			{"write-wrong", "/plant/{C-001}/write/weigh", fillIn(map[string]string{"mass": "heavy"}, "Keep"), "heavy"},
			{"photographs", "/plant/{C-001}/photos", nil, "Side by side"},
			{"photograph", "/plant/{C-001}/photos", inPage(`document.querySelector(".thumbs a").click()`), "Measure a root in it"},
			{"measure", "", func(p *phone) { p.presses("Measure a root in it") }, "The marks as numbers"},
			{"measure-wrong", "", fillIn(map[string]string{"scale": "here"}, "Measure"), "The marks as numbers"},
			{"measured", "", fillIn(map[string]string{"scale": "100 100, 500 100", "scale_length": "4 cm", "root_marks": "120 200, 200 320, 260 420"}, "Measure"), "The root is"},
			{"repot", "/repot", nil, "6. The new home"},
			{"repot-known", "/repot?plant={P-003}", nil, "6. The new home"},
			{"repot-wrong", "/repot?plant={P-003}", fillIn(map[string]string{"roots_kept": "130", "to_kind": "pot", "to_size": "", "soaked": "long"}, "Keep it"), "130"},
			{"repot-course", "/repot?plant={M-001}", fillIn(map[string]string{"roots_kept": "40", "to_kind": "pot", "to_size": "12"}, "Show the course first"), "The course that follows"},
			{"repotted", "/plant/{C-001}/repotted", nil, "Print a label"},
			{"label", "/plant/{C-001}/label", nil, "60 × 30 mm"},
			{"spaces", "/spaces", nil, "balcony"},
			{"space", "/space/balcony", nil, "balcony"},
			{"spots", "/space/balcony/spots", fillIn(map[string]string{"spot": "rail", "faces": "N", "far": "0.3 m", "covers": "double glass", "places": "6"}, "Keep the spot"), "The season ahead"},
			{"spots-read", "", fillIn(map[string]string{"level": "300 µmol"}, "Keep the reading"), "read on"},
			{"spots-wrong", "", fillIn(map[string]string{"spot": "floor", "covers": "wool"}, "Keep the spot"), "wool"},
			{"placement", "/placement", nil, "Where to put the plants"},
			{"places", "/plant/{C-001}/places", nil, "it stands here"},
			{"plant-learned", "/plant/{C-001}", func(p *phone) { p.presses("Dry on top") }, "What was expected and what was learned"},
			{"climate-wrong", "/space/shelf/climate", fillIn(map[string]string{"temperature": "warm", "humidity": "140"}, "Keep"), "140"},
			{"climate-typed", "/space/shelf/climate", fillIn(map[string]string{"temperature": "21.5 C", "humidity": "55"}, "Keep"), "read by hand"},
			{"climate-no-file", "/space/shelf/climate", fillIn(map[string]string{"source": "node 3"}, "Look at it"), "Choose a file"},
			{"space-new", "/spaces/new", nil, "What is left empty"},
			{"space-wrong", "/spaces/new", fillIn(map[string]string{"name": "shelf", "day": "hot", "night_humidity": "300"}, "Keep"), "shelf"},
			{"settings", "/settings", nil, "What a day allows"},
			{"settings-wrong", "/settings", fillIn(map[string]string{"minutes": "all day", "litres": "-1"}, "Keep"), "all day"},
			{"settings-token", "/settings", fillIn(map[string]string{"machine": "balcony logger"}, "Make a token"), "Copy it now"},
			{"certificate", "/certificate", nil, "Get the certificate"},
			{"cases", "/cases", nil, "Somebody else’s plant"},
			{"cases-wrong", "/cases", fillIn(map[string]string{"group": "begonia", "roots_kept": "130"}, "Show the course"), "is not known"},
			{"case", "/cases", fillIn(map[string]string{"group": "Phalaenopsis", "name": "Ada’s white", "roots_kept": "60", "to_size": "12", "to_medium0": "medium bark"}, "Show the course"), "What if?"},
			{"case-beside", "", fillIn(map[string]string{"medium": "coarse bark", "or_roots_kept": "30"}, "Set them beside"), "Side by side"},
			{"case-what-if-wrong", "", fillIn(map[string]string{"roots_kept": "300"}, "Set them beside"), "300"},
			{"case-kept", "", fillIn(nil, "Keep the case"), "Drop"},
			{"paper", "/paper", nil, "The season’s work"},
			{"paper-wrong", "/paper/labels?sheet=A4&columns=9&label_width=70", nil, "over the sheet"},
			{"sharing", "/sharing", nil, "Handed out"},
			{"sharing-wrong", "/sharing", fillIn(map[string]string{"for": "", "until": "2020-01-01"}, "Make a link"), "Say whom it is for"},
			{"sharing-made", "/sharing", fillIn(map[string]string{"for": "Ada"}, "Make a link"), "The link for Ada"},
			{"shared-round", "/sharing", func(p *phone) { p.presses("Ada") }, "Do what is listed"},
			{"shared-wrong", "", fillIn(map[string]string{"label": "Q-999", "note": "one leaf fell"}, "Keep the note"), "Q-999"},
			{"shared-plant", "/sharing?what=plant:{C-001}", func(p *phone) {
				fillIn(map[string]string{"for": "Grace"}, "Make a link")(p)
				p.presses("Grace")
			}, "Aim for now"},
			{"outcomes-wrong", "/outcomes?since=someday&group=begonia", nil, "is no day"},
			{"water-new", "/water/new", nil, "Alkalinity"},
			{"water-asked", "/water/new", fillIn(map[string]string{"name": "well", "ec": "350"}, "Keep"), "Is it µS/cm, or ppm?"},
			{"water-feed", "/water/feed/new", nil, "Name"},
			{"water-feed-wrong", "/water/feed/new", fillIn(map[string]string{"name": "bag", "label": "60-30-30"}, "Keep"), "Sum of the label"},
			{"water-mixing", "/water/mixing", nil, "scale"},
			{"water-flush", "/water/flush", nil, "Is the flush done?"},
			{"missing", "/nowhere", nil, "To the round"},
			{"refused", "/?date=yesterday", nil, "To the round"},
		},
	}
	for _, slug := range slices.Sorted(maps.Keys(answers)) {
		hd.states = append(hd.states, state{"write-" + slug, "/plant/{C-001}/write/" + slug, nil, answers[slug]})
	}
	return hd
}

// abroad are people who think in other units, and like long names.
func abroad() household {
	return household{
		name:   "abroad",
		change: []func(*home){func(h *home) { h.with = (*home).abroad }},
		states: []state{
			{"round-ahead", "/?date={tomorrow}", nil, "To come"},
			{"round-because", "/", inPage(`document.querySelector("button.because").click()`), "What went into it"},
			{"round-wrong", "/", func(p *phone) {
				p.until(`document.readyState === "complete"`)
				ask[bool](p, `(() => { const f = document.querySelector("form.job:has([name=ec])"); f.elements.ec.value = "82000"; [...f.querySelectorAll(".values button")][0].click(); return true; })()`)
			}, "82000 cannot be right"},
			{"round-rain-wrong", "/", func(p *phone) {
				inPage(`document.querySelector("#rain details").open = true; document.querySelector("#rain form").dataset.plain = "yes"`)(p)
				fillIn(map[string]string{"mm": "a lot"}, "It rained this much")(p)
			}, "a lot"},
			{"collection", "/collection", nil, "Collection"},
			{"plant", "/plant/{" + longLabel + "}", nil, "The course"},
			{"label", "/plant/{" + longLabel + "}/label", nil, "60 × 30 mm"},
			{"repot", "/repot?plant={" + longLabel + "}", nil, "6. The new home"},
			{"spaces", "/spaces", nil, "Spaces"},
			{"write-roots", "/plant/{" + longLabel + "}/write/roots", nil, "Root"},
		},
	}
}

// locked is a collection that others can reach.
func locked() household {
	return household{
		name:   "locked",
		change: []func(*home){asksForPassphrase},
		ready:  func(t *testing.T, h *home, _ *phone) { setPassphrase(t, h, "nine orchids on a sill") },
		states: []state{
			{"sign-in", "/sign-in", nil, "Passphrase"},
			{"sign-in-wrong", "/sign-in", fillIn(map[string]string{"passphrase": "eight"}, "Sign in"), "This is not the passphrase"},
			{"settings", "/sign-in", func(p *phone) {
				p.types(map[string]string{"passphrase": "nine orchids on a sill"})
				p.presses("Sign in")
				p.goTo(ask[string](p, `location.origin`) + "/settings")
			}, "Sign out"},
		},
	}
}

// live lets some things happen: roots are measured and photographs taken, one
// plant is bought and another given away, it rains.
func (h *home) live(t *testing.T) {
	t.Helper()
	now := h.now()
	plant := h.id("C-001")
	var list []care.Entry
	add := func(daysAgo int, kind care.Kind, plant string, d care.Detail) {
		at := now.AddDate(0, 0, -daysAgo)
		list = append(list, care.Entry{ID: newID(t), At: at, Recorded: at, Kind: kind, Plant: plant, Detail: d})
	}
	for i, daysAgo := range []int{9, 6, 3, 1} {
		add(daysAgo, care.RootsRead, plant, care.Detail{Roots: []care.RootReading{
			{Root: "A", LengthMM: 11 + 2.5*float64(i), Tip: "growing"}, {Root: "red", LengthMM: 20 + 0.4*float64(i), Tip: "resting"},
		}})
	}
	mass, ec, volume := 612.0, 1.1, 400.0
	add(8, care.FlushDone, plant, care.Detail{VolumeML: &volume, WaterName: "rain barrel"})
	add(8, care.DrainageRead, plant, care.Detail{ECmS: &ec})
	add(4, care.Weighed, plant, care.Detail{MassG: &mass, Note: "After draining for ten minutes.\nThe saucer was dry."})
	add(2, care.PestLook, plant, care.Detail{Pest: "mealybug", Note: "two, in the crown"})
	kase := care.Plant{Label: "N-001", Name: "bought yesterday", Group: "Phalaenopsis", Space: "shelf"}
	add(1, care.PlantSet, newID(t), care.Detail{Plant: &kase})
	gone, left := care.Plant{Label: "N-002", Name: "given to Ada", Group: "Cattleya", Space: "balcony"}, newID(t)
	add(30, care.PlantSet, left, care.Detail{Plant: &gone})
	add(5, care.PlantLeft, left, care.Detail{Note: "To Ada, with its label."})
	if _, err := h.book.Append(t.Context(), list...); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		h.photograph(t, plant, i)
	}
}

// photograph takes a picture through the form: bands of colour, in which
// nothing is to be seen.
func (h *home) photograph(t *testing.T, plant string, number int) {
	t.Helper()
	picture := image.NewRGBA(image.Rect(0, 0, 800, 600))
	for y := range 600 {
		for x := range 800 {
			picture.Set(x, y, color.RGBA{uint8(90 + 30*number), uint8(120 + (x/40)%2*40), uint8(80 + y/6), 255})
		}
	}
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	when := h.now().AddDate(0, 0, -14*(2-number)).Add(-time.Minute).Format("2006-01-02T15:04")
	for name, value := range map[string]string{"entry": newID(t), "when": when, "note": "from the window side"} {
		if err := form.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	file, err := form.CreateFormFile("picture", strconv.Itoa(number)+".jpg")
	if err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(file, picture, nil); err != nil {
		t.Fatal(err)
	}
	if err := form.Close(); err != nil {
		t.Fatal(err)
	}
	answer, err := http.Post(h.url("/plant/"+plant+"/write/photograph"), form.FormDataContentType(), &body)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if text, _ := io.ReadAll(answer.Body); answer.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s", answer.Status, text)
	}
}

// What somebody writes on a label who has little time to be short.
const (
	longLabel = "2019/0417-B, second piece"
	longName  = "Rhynchosophrocattleya Waianae Leopard ‘Ching Hua’ × Brassolaeliocattleya Golden Zelle ‘Lemon Chiffon’ AM/AOS"
	longSpace = "east window of the upstairs bathroom, behind the frosted glass"
)

// abroad fills in the invented collection with other units and longer names.
func (h *home) abroad() {
	h.t.Helper()
	all, _, err := sample(h.book.Today())
	if err != nil {
		h.t.Fatal(err)
	}
	all.Plants = all.Plants[:8]
	all.Plants[0].Label, all.Plants[0].Name, all.Plants[0].Group = longLabel, longName, "rupicolous Laelia types (Cattleya sect. Parviflorae)"
	old := all.Spaces[0].Name
	all.Spaces[0].Name = longSpace
	for i := range all.Plants {
		if all.Plants[i].Space == old || i == 0 {
			all.Plants[i].Space = longSpace
		}
	}
	h.put(all, care.Units{Fahrenheit: true, Light: care.Lux, Salt: care.PPM700, Inches: true})
	mark := []care.RootReading{{Root: "the thick one near the label", LengthMM: 14, Tip: "growing"}}
	at := h.now().AddDate(0, 0, -1)
	if _, err := h.book.Append(h.t.Context(), care.Entry{ID: newID(h.t), At: at, Recorded: at, Kind: care.RootsRead, Plant: h.id(longLabel), Detail: care.Detail{Roots: mark}}); err != nil {
		h.t.Fatal(err)
	}
}
