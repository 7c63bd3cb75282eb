package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/internal/culture"
)

// aCase is what is typed for a plant on a sill.
func aCase() url.Values {
	return url.Values{
		"group": {"Phalaenopsis"}, "name": {"Ada’s white"}, "date": {"2026-05-20"}, "work": {"repotted"}, "roots_kept": {"60"}, "kind": {"windowsill"},
		"to_kind": {"pot"}, "to_size": {"4.5 in"}, "to_material": {"plastic-pot"}, "to_medium0": {"medium bark"}, "from_kind": {"unknown"},
		"temperature": {"F"}, "day": {"78"}, "water_ec": {"0.4"}, "measures": {"in"},
	}
}

// tell sends a case and returns where its answer is.
func (b *bench) tell(values url.Values) string {
	b.t.Helper()
	answer := b.post("/cases", values)
	if answer.StatusCode != http.StatusSeeOther {
		b.t.Fatalf("status %d\n%s", answer.StatusCode, body(b.t, answer))
	}
	return answer.Header.Get("Location")
}

func (b *bench) entries() (n int) {
	b.t.Helper()
	for _, err := range b.server.Journal.All(b.t.Context()) {
		if err != nil {
			b.t.Fatal(err)
		}
		n++
	}
	return n
}

func TestACaseIsAnsweredWithoutStoringAnything(t *testing.T) {
	b := newBench(t, withSample)
	before := b.entries()
	at := b.tell(aCase())
	page := b.get(at)
	for _, want := range []string{"Ada’s white", "Phalaenopsis", "4.5 in", "°F", "What if?", "Hand-out, A4", "As a file to send"} {
		if !strings.Contains(page, want) {
			t.Errorf("the answer does not say %q", want)
		}
	}
	packed := strings.TrimPrefix(at, "/cases/answer?c=")
	// Two what-ifs side by side with what was told.
	asked := url.Values{"c": {packed}, "roots_kept": {"30"}, "medium": {"long-fibre sphagnum, loose"}, "or_space": {"lamp shelf"}, "or_pot": {"3"}}
	beside := b.get("/cases/answer?" + asked.Encode())
	for _, want := range []string{"What if: long-fibre sphagnum, loose, 30 %</th>", "Or what if: lamp shelf, 3 in</th>", "Flushes in the first six weeks", `<option value="long-fibre sphagnum, loose" selected`, `value="30"`} {
		if !strings.Contains(beside, want) {
			t.Errorf("side by side lacks %q\n%s", want, beside)
		}
	}
	if one := b.get("/cases/answer?" + url.Values{"c": {packed}, "or_roots_kept": {"30"}}.Encode()); strings.Contains(one, "What if: ") || !strings.Contains(one, "Or what if: 30 %") {
		t.Error("the second alone does not stand beside the case")
	}
	if got, pdf := b.fetch("/cases/handout?page=Letter&c=" + packed); got.StatusCode != http.StatusOK || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Errorf("the hand-out has status %d", got.StatusCode)
	}
	// The file tells the same when it is opened again, and so does the form.
	_, file := b.fetch("/cases/file?c=" + packed)
	if again := b.open(t, string(file), ""); again != at {
		t.Errorf("opened again it leads to %s, not to %s\n%s", again, at, file)
	}
	if form := b.get("/cases?c=" + packed); !strings.Contains(form, `value="60 %"`) || !strings.Contains(form, `value="78 °F"`) {
		t.Error("the form does not hold what was told")
	}
	if n := b.entries(); n != before {
		t.Errorf("%d entries were stored", n-before)
	}
}

// open opens a case file and returns where that leads, or nothing.
func (b *bench) open(t *testing.T, text, plant string) string {
	t.Helper()
	var sent bytes.Buffer
	form := multipart.NewWriter(&sent)
	part, err := form.CreateFormFile("file", "sent.toml")
	if err == nil {
		_, err = part.Write([]byte(text))
	}
	if err == nil {
		err = form.WriteField("plant", plant)
	}
	if err == nil {
		err = form.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, "/cases/open", &sent)
	r.Header.Set("Content-Type", form.FormDataContentType())
	answer := b.do(r)
	if answer.StatusCode == http.StatusUnprocessableEntity {
		return body(t, answer)
	}
	return answer.Header.Get("Location")
}

func TestAFileOfSeveralPlantsAsksWhich(t *testing.T) {
	b := newBench(t)
	if page := b.open(t, casefile.Example(), ""); !strings.Contains(page, "tells of 2 plants") || !strings.Contains(page, "C-07, B-02") {
		t.Errorf("it is not asked which\n%s", page)
	}
	at := b.open(t, casefile.Example(), "b-02")
	if page := b.get(at); !strings.Contains(page, "Night Ferry") || strings.Contains(page, "Harbour Evening") {
		t.Errorf("another plant was opened: %s", at)
	}
	if page := b.open(t, "[[plant]]\ngroup = \"Begonia\"", ""); !strings.Contains(page, "sent.toml:1") {
		t.Errorf("what is wrong with the file is not said\n%s", page)
	}
}

func TestKeptCasesCanBeLookedAtAndDropped(t *testing.T) {
	b := newBench(t, withSample)
	packed := strings.TrimPrefix(b.tell(aCase()), "/cases/answer?c=")
	var plants int
	b.server.Book.Read(func(c *care.Collection) { plants = len(c.Plants) })
	sent := url.Values{"c": {packed}, "entry": {newID()}}
	for range 2 { // sent twice it is kept once
		if answer := b.post("/cases/keep", sent); answer.StatusCode != http.StatusSeeOther {
			t.Fatalf("status %d", answer.StatusCode)
		}
	}
	var kept []care.KeptCase
	read := func() { b.server.Book.Read(func(c *care.Collection) { kept = c.Cases }) }
	if read(); len(kept) != 1 || kept[0].Name != "Ada’s white" {
		t.Fatalf("kept are %+v", kept)
	}
	b.server.Book.Read(func(c *care.Collection) {
		if len(c.Plants) != plants {
			t.Error("the plant joined the collection")
		}
	})
	if page := b.get("/cases"); !strings.Contains(page, "Ada’s white</a>") {
		t.Error("the kept case is not listed")
	}
	b.post("/cases/drop", url.Values{"entry": {kept[0].Entry}})
	if read(); len(kept) != 0 {
		t.Errorf("dropped, %d are left", len(kept))
	}
}

// Whatever a what-if offers can be asked.
func TestEveryChoiceOfAWhatIfIsUnderstood(t *testing.T) {
	b := newBench(t)
	c, u, err := casefile.Tell([]casefile.Answer{{Key: "group", Text: "Phalaenopsis"}, {Key: "date", Text: "2026-05-20"}, {Key: "pot", Text: "12 cm"}}, b.server.Book.Tables())
	if err != nil {
		t.Fatal(err)
	}
	asks := b.server.newWhatIfForm(u, "", "")
	tried := 0
	for _, one := range append(asks.Asked, asks.More...) {
		for _, option := range one.Options[min(1, len(one.Options)):] {
			tried++
			if _, _, err := casefile.Apply(c, 0, []casefile.Answer{{Key: one.Name, Text: option.Value}}, b.server.Book.Tables()); err != nil {
				t.Errorf("%s = %q: %v", one.Name, option.Value, err)
			}
		}
	}
	if tried < 20 {
		t.Errorf("%d choices were tried", tried)
	}
}

func TestSlipsInACaseStayInTheForm(t *testing.T) {
	b := newBench(t)
	for name, c := range map[string]struct{ field, value, says string }{
		"group": {"group", "Begonia", "is not known"}, "share": {"roots_kept", "130", "cannot be right"}, "date": {"date", "2099-01-01", "too far away"},
		"mount": {"work", "mounted", "say onto what"}, "kind": {"kind", "cellar", "not one of the choices"}, "no group": {"group", "", "Which group?"},
	} {
		values := aCase()
		values.Set(c.field, c.value)
		answer := b.post("/cases", values)
		if text := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, c.says) {
			t.Errorf("%s: status %d, without %q", name, answer.StatusCode, c.says)
		}
	}
	packed := strings.TrimPrefix(b.tell(aCase()), "/cases/answer?c=")
	for field, values := range map[string]url.Values{"roots_kept": {"c": {packed}, "roots_kept": {"300"}}, "or_pot": {"c": {packed}, "or_pot": {"big"}}, "or_space": {"c": {packed}, "or_space": {"cellar"}}} {
		answer := b.do(httptest.NewRequest(http.MethodGet, "/cases/answer?"+values.Encode(), nil))
		if text := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(text, `id="e-`+field+`"`) {
			t.Errorf("%v: status %d", values, answer.StatusCode)
		}
	}
}

// An address that was cut, forged or blown up is refused, whatever it holds.
func FuzzUnpackCase(f *testing.F) {
	tables, err := culture.Load()
	if err != nil {
		f.Fatal(err)
	}
	c, u, err := casefile.Tell([]casefile.Answer{{Key: "group", Text: "Phalaenopsis"}, {Key: "date", Text: "2026-05-20"}}, tables)
	if err != nil {
		f.Fatal(err)
	}
	packed, err := packCase(c, u)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(packed)
	f.Add(packed[:len(packed)/2])
	f.Add("7cEBDQAAAMKg909tDjegAAAAAAAAAAAAgHcDTA")
	f.Fuzz(func(t *testing.T, packed string) {
		if c, _, err := unpackCase(packed, tables); err == nil && len(c.Plants) != 1 {
			t.Errorf("a case of %d plants was unpacked", len(c.Plants))
		}
	})
}
