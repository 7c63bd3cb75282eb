package web

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"velamen/internal/book"
	"velamen/internal/care"
)

var rowLabel = regexp.MustCompile(`aria-label="Tick ([^"]+)"`)

func rowLabels(page string) (list []string) {
	for _, m := range rowLabel.FindAllStringSubmatch(page, -1) {
		list = append(list, m[1])
	}
	return list
}

func TestCollectionFinds(t *testing.T) {
	b := newBench(t, withSample)
	for _, c := range []struct {
		query string
		want  []string
	}{
		{"?q=P-00", []string{"P-001", "P-002", "P-003", "P-004", "P-005"}},
		{"?q=p-00&standing=settling", []string{"P-001", "P-002", "P-005"}},
		{"?q=lavender", []string{"C-001", "C-002"}},
		{"?space=terrace&q=laelia", []string{"L-001", "L-002"}},
		{"?group=Cattleya+walkeriana", []string{"C-004"}},
		{"?q=P-0&sort=name", []string{"P-004", "P-005", "P-003", "P-002", "P-001"}},
		{"?q=unicorn", nil},
		{"?q=P-00&sort=nonsense&standing=nonsense&page=x", []string{"P-001", "P-002", "P-003", "P-004", "P-005"}},
	} {
		page := b.get("/collection" + c.query)
		got := slices.DeleteFunc(rowLabels(page), func(l string) bool {
			return c.query[1] == 'q' && strings.HasPrefix(c.query, "?q=P-0") && !strings.HasPrefix(l, "P-00")
		})
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.query, got, c.want)
		}
	}
	if page := b.get("/collection?q=unicorn"); !strings.Contains(page, "No plant is found by this") || !strings.Contains(page, `value="unicorn"`) {
		t.Error("an empty list does not say so, or forgets what was looked for")
	}
	if page := newBench(t).get("/collection"); !strings.Contains(page, "No plant is here yet") {
		t.Error("an empty collection does not say so")
	}
}

func TestCollectionSaysWhoNeedsIntensiveCare(t *testing.T) {
	b := newBench(t, withSample)
	got := rowLabels(b.get("/collection?standing=" + url.QueryEscape(string(book.Intensive))))
	if !slices.Contains(got, "P-005") || slices.Contains(got, "C-003") {
		t.Errorf("intensive care: %v; want the rescued plant and not the strong one", got)
	}
}

func TestCollectionComesInPages(t *testing.T) {
	b := newBench(t, withSample)
	var entries []care.Entry
	for i := range 2*rowsPerPage + 1 {
		entries = append(entries, care.Entry{ID: newID(), At: testNow, Kind: care.PlantSet, Plant: newID(), Detail: care.Detail{Plant: &care.Plant{Label: fmt.Sprintf("ZZ-%d", i+1), Group: "Vanda"}}})
	}
	if _, err := b.server.Book.Append(t.Context(), entries...); err != nil {
		t.Fatal(err)
	}
	page := b.get("/collection?q=zz")
	if got := rowLabels(page); len(got) != rowsPerPage || got[1] != "ZZ-2" || !strings.Contains(page, "1 to 50 of 101") {
		t.Errorf("first page: %d rows from %v", len(got), got[:2])
	}
	if got := rowLabels(b.get("/collection?q=zz&page=3")); len(got) != 1 || got[0] != "ZZ-101" {
		t.Errorf("third page: %v", got)
	}
	if got := rowLabels(b.get("/collection?q=zz&page=9")); len(got) != 0 {
		t.Errorf("a page beyond the end: %v", got)
	}
	// All that were found, not only those on the page.
	confirm := body(t, b.post("/collection/act", url.Values{"query": {"q=zz"}, "all": {"yes"}, "act": {"note"}, "note": {"arrived"}}))
	if n := strings.Count(confirm, `name="write"`); n != 101 {
		t.Errorf("%d plants to write for, want 101", n)
	}
}

func TestLabelsOpenTheirPlant(t *testing.T) {
	b := newBench(t, withSample)
	for _, label := range []string{"P-001", "p-001"} {
		answer := b.do(httptest.NewRequest(http.MethodGet, "/p/"+label, nil))
		if got, want := answer.Header.Get("Location"), "/plant/"+b.plant("P-001"); answer.StatusCode != http.StatusSeeOther || got != want {
			t.Errorf("%s: %s to %q, want %q", label, answer.Status, got, want)
		}
	}
	answer := b.do(httptest.NewRequest(http.MethodGet, "/p/P-00", nil))
	if page := body(t, answer); answer.StatusCode != http.StatusNotFound || !strings.Contains(page, "No plant has the label P-00") || !slices.Contains(rowLabels(page), "P-001") {
		t.Errorf("an unknown label: %s", answer.Status)
	}
}

// confirmed returns what the page that asks for confirmation would send.
func confirmed(page string) url.Values {
	values := url.Values{}
	for _, one := range regexp.MustCompile(`type="hidden" name="([^"]+)" value="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		values.Add(one[1], strings.NewReplacer("&#43;", "+", "&amp;", "&").Replace(one[2]))
	}
	return values
}

func TestManyAtOnceAreConfirmedAndWrittenOnce(t *testing.T) {
	b := newBench(t, withSample)
	ids := []string{b.plant("P-001"), b.plant("C-001"), b.plant("L-001")}
	for _, c := range []struct {
		sent url.Values
		kind care.Kind
		want care.Detail
		n    int
	}{
		{url.Values{"act": {"note"}, "note": {"seen <today>"}}, care.Noted, care.Detail{Note: "seen <today>"}, 3},
		{url.Values{"act": {"move"}, "to_space": {"balcony"}}, care.Moved, care.Detail{ToSpace: "balcony"}, 2}, // one stands there
		{url.Values{"act": {"flush"}, "note": {""}}, care.FlushDone, care.Detail{}, 3},
		{url.Values{"act": {"feed"}}, care.FeedDone, care.Detail{}, 3},
		{url.Values{"act": {"left"}, "note": {"club sale"}}, care.PlantLeft, care.Detail{Note: "club sale"}, 3},
	} {
		c.sent["plant"] = ids
		c.sent.Set("query", "q=0&space=")
		before := b.kept()
		answer := b.post("/collection/act", c.sent)
		page := body(t, answer)
		if answer.StatusCode != http.StatusOK || b.kept() != before {
			t.Fatalf("%s: %s, %d entries before it was confirmed", c.kind, answer.Status, b.kept()-before)
		}
		form := confirmed(strings.ReplaceAll(strings.ReplaceAll(page, "&lt;", "<"), "&gt;", ">"))
		for range 2 {
			if answer := b.post("/collection/write", form); answer.StatusCode != http.StatusSeeOther || answer.Header.Get("Location") != "/collection?done=kept&q=0" {
				t.Fatalf("%s: %s to %s\n%s", c.kind, answer.Status, answer.Header.Get("Location"), body(t, answer))
			}
		}
		made := b.since(before)
		if len(made) != c.n {
			t.Fatalf("%s: %d entries, want %d", c.kind, len(made), c.n)
		}
		for _, e := range made {
			if e.Kind != c.kind || e.Detail.Note != c.want.Note || e.Detail.ToSpace != c.want.ToSpace || !e.At.Equal(testNow) || !slices.Contains(ids, e.Plant) {
				t.Errorf("%+v", e)
			}
		}
	}
	// They have left: there is nothing more to write for them.
	page := body(t, b.post("/collection/act", url.Values{"plant": ids, "act": {"flush"}}))
	if !strings.Contains(page, "There is nothing to write") || !strings.Contains(page, "Passed over") {
		t.Error("plants that left are written for")
	}
}

func TestManyAtOnceSaysWhatIsMissing(t *testing.T) {
	b := newBench(t, withSample)
	plant := b.plant("P-001")
	for _, c := range []struct {
		name, field, says string
		sent              url.Values
	}{
		{"nothing chosen", "act", "Choose what to write", url.Values{"plant": {plant}}},
		{"no plant", "act", "Tick the plants", url.Values{"act": {"flush"}}},
		{"no note", "note", "Write the note", url.Values{"plant": {plant}, "act": {"note"}}},
		{"no space", "to_space", "Choose the space", url.Values{"plant": {plant}, "act": {"move"}, "note": {"for the winter"}}},
		{"no act of ours", "act", "not one of the choices", url.Values{"plant": {plant}, "act": {"eat"}}},
	} {
		before := b.kept()
		c.sent.Set("query", "q=P-")
		answer := b.post("/collection/act", c.sent)
		page := body(t, answer)
		message := regexp.MustCompile(`id="e-` + c.field + `">([^<]*)<`).FindStringSubmatch(page)
		if answer.StatusCode != http.StatusUnprocessableEntity || message == nil || !strings.Contains(message[1], c.says) || b.kept() != before {
			t.Errorf("%s: %s, %v", c.name, answer.Status, message)
		}
		if c.sent.Has("plant") && !strings.Contains(page, `value="`+plant+`" aria-label="Tick P-001" checked`) {
			t.Errorf("%s: the tick is gone", c.name)
		}
		if note := c.sent.Get("note"); note != "" && !strings.Contains(page, note) {
			t.Errorf("%s: the note is gone", c.name)
		}
	}
	for name, form := range map[string]url.Values{
		"no time":    {"act": {"note"}, "note": {"x"}, "write": {plant + " " + newID()}},
		"no plants":  {"act": {"note"}, "note": {"x"}, "at": {"2026-11-24T08:30:00Z"}},
		"no act":     {"at": {"2026-11-24T08:30:00Z"}, "write": {plant + " " + newID()}},
		"empty note": {"act": {"note"}, "at": {"2026-11-24T08:30:00Z"}, "write": {plant + " " + newID()}},
	} {
		before := b.kept()
		if answer := b.post("/collection/write", form); answer.StatusCode < 400 || answer.StatusCode >= 500 || b.kept() != before {
			t.Errorf("%s: %s", name, answer.Status)
		}
	}
}
