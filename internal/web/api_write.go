package web

import (
	"context"
	"net/http"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
)

// entriesSent is what is sent to be kept.
type entriesSent struct {
	Entries []care.Entry `json:"entries"`
}

// entriesTaken is the answer: every id in Taken is kept for good; those in
// Added are new.
type entriesTaken struct {
	Taken []string `json:"taken"`
	Added []string `json:"added"`
}

// writeOperations add to what is kept. The outbox of a phone that was without
// reception sends its entries the same way.
func writeOperations() []operation {
	return []operation{
		{
			method: http.MethodPost, path: "/entries", id: "addEntries", scope: writeScope, statuses: []int{http.StatusConflict, http.StatusUnprocessableEntity},
			summary: "Add entries of any kind to the journal: whatever the pages write is one. All are kept or none; sent twice they are there once; a plant has to be known, or to come with them; a wrong one is corrected or withdrawn by another",
			body:    entriesSent{}, answer: entriesTaken{}, handle: (*Server).takeEntries,
			example: entriesSent{[]care.Entry{{
				ID: "0190b5c2-7d3e-7000-8000-0123456789ab", At: time.Date(2026, 11, 24, 8, 0, 0, 0, time.UTC), Kind: care.Weighed,
				Plant: "0190b5c2-7d3e-7000-8000-0123456789ac", Detail: care.Detail{MassG: new(412.0)},
			}}},
		},
		{
			method: http.MethodPost, path: "/readings", id: "addReadings", scope: sensorScope, statuses: []int{http.StatusNotFound},
			summary: "Send what sensors measure in a space. Lines of text do as well; they name the space and the sensor in the address. Sent twice it is there once",
			body:    readings.Message{}, answer: care.Kept{}, handle: (*Server).takeReadings,
			example: readings.Message{Space: "shelf", Source: "node 3", Readings: []readings.MessageReading{{Temperature: new(21.4)}}},
			plain:   "temperature 21.4 C\nhumidity 55 %\n",
			params:  []parameter{inQuery("space", "The space, where the body names none; the only one there is if left out.", aText), inQuery("source", "The sensor, where the body names none.", aText)},
		},
	}
}

func (s *Server) takeEntries(r *http.Request) (any, error) {
	var sent entriesSent
	if err := readSent(r, &sent); err != nil {
		return nil, err
	}
	if err := s.Book.PlantsKnown(r.Context(), sent.Entries); err != nil {
		return nil, err
	}
	return s.keepSent(r.Context(), sent.Entries)
}

// keepSent keeps entries that came from a program.
func (s *Server) keepSent(ctx context.Context, entries []care.Entry) (any, error) {
	now := s.Now().UTC()
	for i := range entries {
		entries[i].Recorded = now
	}
	added, err := s.Book.Append(ctx, entries...)
	if err != nil {
		return nil, err
	}
	answer := entriesTaken{Taken: []string{}, Added: []string{}}
	for _, e := range entries {
		answer.Taken = append(answer.Taken, e.ID)
	}
	for _, e := range added {
		answer.Added = append(answer.Added, e.ID)
	}
	return answer, nil
}
