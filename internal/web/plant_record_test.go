package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"velamen/internal/care"
)

func TestAPlantIsAdded(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/plant/new")
	id := hidden(t, page, "plant")
	values := url.Values{
		"entry": {hidden(t, page, "entry")}, "plant": {id}, "label": {"X-001"}, "name": {"found at a sale"}, "group": {"Phal"}, "space": {"shelf"},
		"leaves": {"5"}, "leaf_length": {"18"}, "leaf_width": {"7 cm"}, "vigour": {"weak"},
	}
	slips := url.Values{}
	for k, v := range values {
		slips[k] = v
	}
	for _, c := range []struct{ field, text, says string }{
		{"group", "Phalaenopsos", "Nearest: "}, {"group", "Dendrobium", "kinds with different needs"}, {"group", "", "Which group?"},
		{"label", "C-003", "on another plant already"}, {"label", "", "on its tag"}, {"space", "", "Choose where it stands"}, {"leaves", "many", "is not a count"},
		{"leaf_length", "12 kg", "does not fit here"},
	} {
		kept := slips[c.field]
		slips[c.field] = []string{c.text}
		answer := b.post("/plant/new", slips)
		if page := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(errorsIn(page), c.says) {
			t.Errorf("%s %q: %s, says %q, want %q", c.field, c.text, answer.Status, errorsIn(page), c.says)
		}
		slips[c.field] = kept
	}
	if to := b.accepted(b.post("/plant/new", values)); to != "/plant/"+id+"?done=added" {
		t.Errorf("led to %s", to)
	}
	page = b.get("/plant/" + id)
	if !strings.Contains(page, "X-001") || !strings.Contains(page, "has not been repotted") {
		t.Error("the new plant's page does not say that it has no course yet")
	}
	values.Set("then", "repot")
	values.Set("label", "X-001")
	if to := b.accepted(b.post("/plant/new", values)); to != "/repot?done=added&plant="+id {
		t.Errorf("led to %s", to)
	}
	if n := b.count(id, care.PlantSet); n != 1 {
		t.Errorf("added twice: %d", n)
	}
	values.Set("name", "found at a market")
	values.Del("entry")
	b.accepted(b.post("/plant/"+id+"/record", values))
	if e := b.last(id, care.PlantSet); e.Detail.Plant.Name != "found at a market" || e.Detail.Plant.LeafLengthCm.Value != 18 {
		t.Errorf("kept %+v", e.Detail.Plant)
	}
}

func TestALabelCanBePrinted(t *testing.T) {
	b := newBench(t, withSample)
	page := b.get("/plant/" + b.plant("C-003") + "/label")
	for _, want := range []string{"C-003", "yellow cluster hybrid", "Repotted", "medium bark"} {
		if !strings.Contains(page, want) {
			t.Errorf("the label lacks %q", want)
		}
	}
}
