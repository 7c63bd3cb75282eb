package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"velamen/internal/care"
)

func TestThePestPages(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/pests")
	for _, want := range []string{"Watched for", "P-005", "What hides where", "Springtails", "Blades"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page of all pests does not say %q", want)
		}
	}
	own := b.get("/plant/" + b.plant("P-005") + "/pests")
	for _, want := range []string{"Citrus mealybug", "Set it apart", "P-001", "because", "Where and how to look"} {
		if !strings.Contains(own, want) {
			t.Errorf("the page of a plant with mealybugs does not say %q", want)
		}
	}
	if other := b.get("/plant/" + b.plant("C-003") + "/pests"); strings.Contains(other, "Set it apart") {
		t.Error("a plant without a pest is to be set apart")
	}
	if both := page + own; strings.Contains(both, "mL/L") || strings.Contains(both, "g/L") {
		t.Error("a page about pests names a dose")
	}
}

// A find at one plant asks for one look at each plant beside it, in the round.
func TestAFindIsALookAtThePlantsBesideIt(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("S-002")
	b.get("/")
	page := b.get("/plant/" + id + "/write/pests")
	if answer := b.post("/plant/"+id+"/write/pests", url.Values{"entry": {hidden(t, page, "entry")}, "pest": {"two-spotted mite"}, "when": {testNow.AddDate(0, 0, -3).Format(whenLayout)}}); answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("refused: %s", answer.Status)
	}
	own := b.get("/plant/" + b.plant("V-002") + "/pests")
	if !strings.Contains(own, "Found on S-002 in the same space") {
		t.Errorf("the plant beside says nothing of the find:\n%s", own)
	}
}

func TestABladeIsMadeSafe(t *testing.T) {
	b := newBench(t, withSample)
	for _, label := range []string{"C-001", "C-002"} {
		id := b.plant(label)
		page := b.get("/plant/" + id + "/write/blade")
		if answer := b.post("/plant/"+id+"/write/blade", url.Values{"entry": {hidden(t, page, "entry")}, "blade": {"kitchen knife"}, "when": {testNow.Format(whenLayout)}}); answer.StatusCode != http.StatusSeeOther {
			t.Fatalf("refused: %s", answer.Status)
		}
	}
	page := b.get("/pests")
	if !strings.Contains(page, "right after C-00") {
		t.Error("nothing is said of a blade that went from plant to plant")
	}
	form := url.Values{"entry": {hidden(t, page, "entry")}, "blade": {"kitchen knife"}, "how": {"flamed"}}
	if answer := b.post("/pests/blade", form); answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("refused: %s", answer.Status)
	}
	if page = b.get("/pests"); !strings.Contains(page, "flamed") {
		t.Error("the cleaning is not listed")
	}
	form.Set("how", "prayed over")
	form.Set("entry", newID())
	if answer := b.post("/pests/blade", form); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Fatalf("taken: %s", answer.Status)
	}
}

// One tap writes an emergency down; its page then says what to do, and the list
// shows it.
func TestASignThatCannotWait(t *testing.T) {
	b := newBench(t, withSample)
	id := b.plant("C-003")
	page := b.get("/plant/" + id)
	entry := hidden(t, page, "entry")
	if answer := b.post("/plant/"+id+"/write/sign", url.Values{"entry": {entry}, "sign": {string(care.SoftCrown)}}); answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("refused: %s", answer.Status)
	}
	page = b.get("/plant/" + id)
	for _, want := range []string{"Act now", "Declining.", "fresh or flamed blade", "It is dry and firm again"} {
		if !strings.Contains(page, want) {
			t.Errorf("after a soft crown was seen the page does not say %q", want)
		}
	}
	if list := b.get("/collection?verdict=declining"); !strings.Contains(list, "C-003") || !strings.Contains(list, "act now") {
		t.Error("the list of declining plants does not hold it")
	}
	page = b.get("/plant/" + id + "/write/sign")
	if answer := b.post("/plant/"+id+"/write/sign", url.Values{"entry": {hidden(t, page, "entry")}, "sign": {string(care.RotGone)}, "when": {testNow.Format(whenLayout)}}); answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("refused: %s", answer.Status)
	}
	if page = b.get("/plant/" + id); strings.Contains(page, "Act now") {
		t.Error("it goes on after it is over")
	}
}
