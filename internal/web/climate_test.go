package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"velamen/internal/book"
	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/store"
)

// measuring gives the bench a store on disk, which keeps readings too.
func measuring(c *Config, b *bench) {
	tables, err := culture.Load()
	if err != nil {
		b.t.Fatal(err)
	}
	kept, err := store.Create(b.t.Context(), filepath.Join(b.t.TempDir(), "orchids.velamen"), c.Now)
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { kept.Close() })
	if c.Book, err = book.Open(b.t.Context(), kept, tables, c.Now); err != nil {
		b.t.Fatal(err)
	}
	c.Journal, c.Readings, c.Logger = kept, kept, slog.New(slog.DiscardHandler)
}

// withShelf describes one space in which no plant lives.
func withShelf(c *Config, b *bench) {
	s := &Server{Config: *c}
	space := care.Space{Name: "shelf", Kind: care.LampShelf}
	if _, err := c.Book.Append(b.t.Context(), s.newEntry(care.SpaceSet, "", care.Detail{Space: &space})); err != nil {
		b.t.Fatal(err)
	}
}

func TestClimateOfTheSampleIsShown(t *testing.T) {
	b := newBench(t, measuring, withSample)
	for _, path := range []string{"?show=day", "", "?show=season", "?show=year", "?show=week&on=2026-01-01", "?show=nonsense&on=yesterday"} {
		for _, space := range []string{"balcony", "terrace"} {
			page := b.get("/space/" + space + "/climate" + path)
			text := page
			if strings.Contains(path, "2026-01-01") {
				if !strings.Contains(text, "Nothing was measured here in this time") {
					t.Errorf("%s%s shows what never was", space, path)
				}
				continue
			}
			for _, want := range []string{"<svg", "Worst off", "invented, not measured", "asks for at"} {
				if !strings.Contains(text, want) {
					t.Errorf("%s%s lacks %q", space, path, want)
				}
			}
		}
	}
	if text := b.get("/space/balcony/climate"); !strings.Contains(text, "Say how large the room is") || !strings.Contains(text, "Dew on the coldest glass") {
		t.Error("the balcony says nothing of humidifier or dew")
	}
	values := b.values("/space/balcony", "/space/balcony")
	values.Set("volume", "20 m3")
	values.Set("changes", "2")
	values.Set("panes", "double pane")
	expectSeeOther(t, b.post("/space/balcony", values), "/spaces?done=kept")
	if room := b.space("balcony").Room; room == nil || room.VolumeM3.Value != 20 || room.AirChangesPerHour.Value != 2 || room.Panes != care.DoublePane {
		t.Fatalf("%+v", room)
	}
	if text := b.get("/space/balcony/climate"); !strings.Contains(text, "Water to evaporate") || !strings.Contains(text, "heat loss of a double pane") {
		t.Error("the litres of a humidifier are missing")
	}
	// What the form does not ask for stays.
	values = b.values("/space/balcony", "/space/balcony")
	expectSeeOther(t, b.post("/space/balcony", values), "/spaces?done=kept")
	if room := b.space("balcony").Room; room == nil || room.VolumeM3.Value != 20 {
		t.Errorf("sent as it was, the form changed the room: %+v", room)
	}
	// The invented readings leave with the sample.
	expectSeeOther(t, b.post("/settings/sample/remove", url.Values{}), "/settings?done=cleared")
	if sensors, err := b.server.Readings.Sensors(t.Context()); err != nil || len(sensors) > 0 {
		t.Errorf("%v, %v", sensors, err)
	}
}

func TestReadingsAreTypedAndTakenBack(t *testing.T) {
	b := newBench(t, measuring, withShelf)
	form := url.Values{"temperature": {"71.6 F"}, "humidity": {"55"}, "light": {"540 µmol"}}
	expectSeeOther(t, b.post("/space/shelf/readings", form), "/space/shelf/climate?show=day&done=kept")
	text := b.get("/space/shelf/climate?show=day")
	if !strings.Contains(text, "read by hand") || !strings.Contains(text, "22.0 °C") {
		t.Error("the reading is not shown")
	}
	for _, c := range []struct {
		values url.Values
		says   string
	}{
		{url.Values{}, "at least one"},
		{url.Values{"temperature": {"warm"}}, "warm"},
		{url.Values{"humidity": {"140"}}, "140"},
		{url.Values{"temperature": {"20"}, "at": {"2030-01-01T10:00"}}, "future"},
		{url.Values{"temperature": {"20"}, "at": {"tomorrow"}}, "is not a time"},
		{url.Values{"light": {"12 mol/day"}}, "no single reading"},
		{url.Values{"temperature": {"30"}}, "Another figure is kept"}, // at the same moment
	} {
		answer := b.post("/space/shelf/readings", c.values)
		if got := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(got, c.says) {
			t.Errorf("%v: %s without %q", c.values, answer.Status, c.says)
		}
	}
	at := ""
	for _, in := range parsePage(t, b.get("/space/shelf/climate")).all("input") {
		if in.attr["type"] == "hidden" && in.attr["name"] == "at" {
			at = in.attr["value"]
		}
	}
	expectSeeOther(t, b.post("/space/shelf/readings/remove", url.Values{"at": {at}}), "/space/shelf/climate?done=back")
	if strings.Contains(b.get("/space/shelf/climate?show=day"), "read by hand") {
		t.Error("the reading is still there")
	}
	if answer := b.post("/space/attic/readings", form); answer.StatusCode != http.StatusNotFound {
		t.Errorf("an attic: %s", answer.Status)
	}
}

// A forecast is shown before it is kept, says itself in the forecast of a pot, and
// can be taken back.
func TestAForecastIsHandedIn(t *testing.T) {
	b := newBench(t, measuring, withShelf)
	var file strings.Builder
	file.WriteString("Time,Temperature (°C),Humidity (%)\n")
	for h := range 80 {
		fmt.Fprintf(&file, "%s,%d,60\n", b.server.Now().Add(time.Duration(h)*time.Hour).Format("2006-01-02 15:04"), 18+h%7)
	}
	shown := b.sendFile("/space/shelf/file", "week.csv", file.String(), map[string]string{"holds": "forecast", "do": "look"})
	text := body(t, shown)
	if shown.StatusCode != http.StatusOK || !strings.Contains(text, "It tells of 80 hours") || strings.Contains(text, "The plan goes by") {
		t.Fatalf("%s: %s", shown.Status, text)
	}
	waiting, entry := "", ""
	for _, in := range parsePage(t, text).all("input") {
		if in.attr["name"] == "waiting" {
			waiting = in.attr["value"]
		}
	}
	expectSeeOther(t, b.sendFile("/space/shelf/file", "", "", map[string]string{"holds": "forecast", "waiting": waiting, "do": "add"}), "/space/shelf/climate?done=foreseen")
	text = b.get("/space/shelf/climate")
	if !strings.Contains(text, "The plan goes by the forecast file week.csv") {
		t.Fatal("the page does not say by what the plan goes")
	}
	for _, span := range []string{"day", "week", "season", "year"} {
		shown := b.get("/space/shelf/climate?show=" + span)
		if !strings.Contains(shown, "line plain foreseen") || !strings.Contains(shown, "Broken lines: the forecast") || !strings.Contains(shown, ">now<") {
			t.Errorf("the picture of the %s does not show the forecast", span)
		}
	}
	tomorrow := b.server.Now().AddDate(0, 0, 1).Format(time.DateOnly)
	if !strings.Contains(b.get("/space/shelf/climate?show=day&on="+tomorrow), "line plain foreseen") {
		t.Error("tomorrow cannot be looked at")
	}
	for _, in := range parsePage(t, text).all("input") {
		if in.attr["name"] == "entry" {
			entry = in.attr["value"]
		}
	}
	around, err := b.server.Book.Around(t.Context(), &care.PlantState{Record: care.Plant{Space: "shelf"}})
	if err != nil || len(around.Ahead) != 80 || around.AheadOf.IsZero() {
		t.Errorf("%d hours ahead of %v, %v", len(around.Ahead), around.AheadOf, err)
	}
	if answer := b.sendFile("/space/shelf/file", "old.csv", "Time,Temperature (°C),Humidity (%)\n2020-01-01 10:00,20,50\n2020-01-01 11:00,20,50\n", map[string]string{"holds": "forecast"}); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(body(t, answer), "no temperature and humidity for the hours from") {
		t.Errorf("a forecast of the past: %s", answer.Status)
	}
	expectSeeOther(t, b.post("/space/shelf/forecast/remove", url.Values{"entry": {entry}}), "/space/shelf/climate?done=back")
	if strings.Contains(b.get("/space/shelf/climate"), "The plan goes by") {
		t.Error("the forecast is still there")
	}
	if strings.Contains(b.get("/space/shelf/climate"), "foreseen") {
		t.Error("the forecast that was taken back is still drawn")
	}
	if answer := b.post("/space/shelf/forecast/remove", url.Values{"entry": {entry}}); answer.StatusCode != http.StatusNotFound {
		t.Errorf("taken back twice: %s", answer.Status)
	}
}

// A forecast of outdoors tells a room of the air behind its glass, and nothing
// else: its plan stays with the room's own measurements.
func TestAForecastOfOutdoorsReachesTheGlass(t *testing.T) {
	b := newBench(t, measuring, withShelf)
	now := b.server.Now().Truncate(time.Hour)
	var inside, outside strings.Builder
	for h := range 30 {
		fmt.Fprintf(&inside, "%s,20,60\n", now.Add(time.Duration(h-30)*time.Hour).Format("2006-01-02 15:04"))
	}
	for h := range 60 {
		fmt.Fprintf(&outside, "%s,-15,80\n", now.Add(time.Duration(h)*time.Hour).Format("2006-01-02 15:04"))
	}
	head := "Time,Temperature (°C),Humidity (%)\n"
	for _, one := range []struct{ text, holds string }{{head + inside.String(), ""}, {head + outside.String(), "outdoors"}} {
		text := body(t, b.sendFile("/space/shelf/file", "f.csv", one.text, map[string]string{"holds": one.holds, "do": "look"}))
		waiting := ""
		for _, in := range parsePage(t, text).all("input") {
			if in.attr["name"] == "waiting" {
				waiting = in.attr["value"]
			}
		}
		b.sendFile("/space/shelf/file", "", "", map[string]string{"holds": one.holds, "waiting": waiting, "do": "add"})
	}
	text := b.get("/space/shelf/climate")
	// A pane lets the inner face down to 20 − 5.7·0.13·35 = −5.9 °C.
	if !strings.Contains(text, "In 60 of 60 hours to come") || !strings.Contains(text, "the same hour of the last day that was measured whole") {
		t.Errorf("dew on the glass is not foreseen: %s", text)
	}
	if strings.Contains(text, "line plain foreseen") || strings.Contains(text, "The plan goes by") {
		t.Error("the forecast of outdoors counts for the room")
	}
	around, err := b.server.Book.Around(t.Context(), &care.PlantState{Record: care.Plant{Space: "shelf"}})
	if err != nil || len(around.Ahead) != 0 {
		t.Errorf("%d hours ahead, %v", len(around.Ahead), err)
	}
}

// sendFile sends a logger's file from the page.
func (b *bench) sendFile(path, name, content string, values map[string]string) *http.Response {
	b.t.Helper()
	var text bytes.Buffer
	w := multipart.NewWriter(&text)
	for key, value := range values {
		if err := w.WriteField(key, value); err != nil {
			b.t.Fatal(err)
		}
	}
	if name != "" {
		part, err := w.CreateFormFile("file", name)
		if err != nil {
			b.t.Fatal(err)
		}
		fmt.Fprint(part, content)
	}
	w.Close()
	r := httptest.NewRequest(http.MethodPost, path, &text)
	r.Host = "localhost"
	r.Header.Set("Content-Type", w.FormDataContentType())
	answer := httptest.NewRecorder()
	b.server.ServeHTTP(answer, r)
	return answer.Result()
}

func TestALoggersFileIsShownThenAdded(t *testing.T) {
	b := newBench(t, measuring, withShelf)
	file := "Time;Temp (°F);RH (%)\n2026-05-30 10:00;71,6;50\n2026-05-30 10:10;71,6;51\n2026-05-30 10:20;nothing;51\n"
	answer := b.sendFile("/space/shelf/file", "node.csv", file, nil)
	text := body(t, answer)
	if answer.StatusCode != http.StatusOK || !strings.Contains(text, "temperature in °F") || !strings.Contains(text, "1 line cannot be read and is left out, in line ") || !strings.Contains(text, "Add it") {
		t.Fatalf("%s\n%s", answer.Status, text)
	}
	if n := count(t, b, "node"); n != 0 {
		t.Fatalf("%d readings are kept before they were seen", n)
	}
	var waiting string
	for _, in := range parsePage(t, text).all("input") {
		if in.attr["name"] == "waiting" {
			waiting = in.attr["value"]
		}
	}
	for _, says := range []string{"4 readings are added", "had been imported before"} {
		answer = b.sendFile("/space/shelf/file", "", "", map[string]string{"waiting": waiting, "do": "add"})
		if text = body(t, answer); answer.StatusCode != http.StatusOK || !strings.Contains(text, says) {
			t.Fatalf("%s without %q\n%s", answer.Status, says, text)
		}
	}
	if n := count(t, b, "node"); n != 4 {
		t.Errorf("%d readings, want 4", n)
	}
	for _, c := range []struct {
		name, content string
		values        map[string]string
		says          string
	}{
		{"", "", nil, "Choose a file"},
		{"a.csv", "no logger", nil, "No line holds a time"},
		{"a.csv", file, map[string]string{"zone": "Atlantis"}, "not a time zone"},
		{"a.csv", file, map[string]string{"map": "speed=3"}, "not one of"},
		{"", "", map[string]string{"waiting": "none"}, "too long ago"},
	} {
		answer := b.sendFile("/space/shelf/file", c.name, c.content, c.values)
		if got := body(t, answer); answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(got, c.says) {
			t.Errorf("%+v: %s", c, answer.Status)
		}
	}
}

func count(t *testing.T, b *bench, source string) (n int) {
	t.Helper()
	for r, err := range b.server.Readings.(*store.Store).Readings(context.WithoutCancel(t.Context()), store.ReadingQuery{}) {
		if err != nil {
			t.Fatal(err)
		}
		if r.Source == source {
			n++
		}
	}
	return n
}

func TestSensorsSendReadings(t *testing.T) {
	b := newBench(t, measuring, withShelf)
	b.secrets.machines["s"] = store.Machine{Name: "node", Scope: string(sensorScope)}
	b.secrets.machines["r"] = store.Machine{Name: "reader", Scope: string(readScope)}
	b.secrets.machines["w"] = store.Machine{Name: "script", Scope: string(writeScope)}
	send := func(token, path, kind, text string) (*http.Response, string) {
		r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(text))
		r.Host = "localhost"
		r.Header.Set("Authorization", "Bearer "+token)
		r.Header.Set("Content-Type", kind)
		answer := httptest.NewRecorder()
		b.server.ServeHTTP(answer, r)
		return answer.Result(), answer.Body.String()
	}
	lines := "temperature 21.4\nhumidity 55\n"
	for i, want := range []string{`{"added":2,"doubled":0,"differ":0}`, `{"added":0,"doubled":2,"differ":0}`} {
		answer, text := send("s", "/readings?space=Shelf&source=node", "text/plain", lines)
		var got, wanted care.Kept
		if json.Unmarshal([]byte(text), &got) != nil || json.Unmarshal([]byte(want), &wanted) != nil || got != wanted || answer.StatusCode != http.StatusOK {
			t.Errorf("sending %d: %s %s", i, answer.Status, text)
		}
	}
	if n := count(t, b, "node"); n != 2 {
		t.Errorf("%d readings", n)
	}
	for _, c := range []struct {
		token, path, kind, text string
		status                  int
	}{
		{"w", "/readings", "application/json", `{"space":"shelf","source":"script","readings":[{"temperature":20}]}`, http.StatusOK},
		{"r", "/readings?space=shelf", "text/plain", lines, http.StatusForbidden},
		{"x", "/readings?space=shelf", "text/plain", lines, http.StatusUnauthorized},
		{"s", "/entries", "application/json", `{"entries":[]}`, http.StatusForbidden},
		{"s", "/readings?space=attic", "text/plain", lines, http.StatusBadRequest},
		{"s", "/readings?space=shelf", "text/plain", "temperature 99", http.StatusBadRequest},
		{"s", "/readings?space=shelf", "image/png", lines, http.StatusBadRequest},
		{"s", "/readings?space=shelf", "application/json", "{", http.StatusBadRequest},
		{"s", "/readings?space=shelf", "text/plain", strings.Repeat("# \n", 1<<19), http.StatusRequestEntityTooLarge},
	} {
		if answer, text := send(c.token, c.path, c.kind, c.text); answer.StatusCode != c.status {
			t.Errorf("%s %s %.40q: %s, want %d\n%s", c.token, c.path, c.text, answer.Status, c.status, text)
		}
	}
	r := httptest.NewRequest(http.MethodGet, "/spaces", nil)
	r.Host = "localhost"
	r.Header.Set("Authorization", "Bearer s")
	answer := httptest.NewRecorder()
	b.server.ServeHTTP(answer, r)
	if answer.Code != http.StatusForbidden {
		t.Errorf("a sensor reads the spaces: %d", answer.Code)
	}
}

// Plants that ask for more than the air ever was are told of a cover rather than
// sent about; those that ask for it at one time of the day only are not.
func TestHumidityBeyondTheOpenAir(t *testing.T) {
	hours := []care.ClimateHour{{RHPercent: care.Spread{Min: 50, Mean: 55, Max: 60, Count: 3}}, {RHPercent: care.Spread{Min: 60, Mean: 65, Max: 71, Count: 3}}}
	asking := func(day, night float64) wantingPlant {
		w := care.OpenWants()
		w.Day.LowRH, w.Night.LowRH = day, night
		return wantingPlant{wants: w}
	}
	plants := []wantingPlant{asking(92, 91), asking(60, 89), asking(72, 72), {wants: care.OpenWants()}}
	if text := beyondOpenAir(care.Space{Kind: care.LampShelf}, plants, hours); !strings.HasPrefix(text, "2 of 4 plants here ask, day and night, for more humidity than the air had at its most humid, 71 %:") || !strings.Contains(text, "never in the sun") {
		t.Errorf("%q", text)
	}
	for what, text := range map[string]string{
		"an enclosure":   beyondOpenAir(care.Space{Kind: care.Enclosure}, plants, hours),
		"not measured":   beyondOpenAir(care.Space{}, plants, nil),
		"nobody so much": beyondOpenAir(care.Space{}, plants[1:2], hours),
	} {
		if text != "" {
			t.Errorf("%s: %q", what, text)
		}
	}
}
