package web

import (
	"cmp"
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"time"

	"github.com/google/uuid"

	"velamen/internal/care"
)

// journalView is what was done and seen, newest first.
type journalView struct {
	Path  string // to all of it; empty when all is shown
	Lines []journalLine
	More  int // lines left out
}

// journalLine is one entry with those it took the place of.
type journalLine struct {
	Entry, Date, Time string
	Kind, Says, Note  string
	By                string
	Photo, PhotoPath  string
	Change            string // path; empty where nothing can be changed
	Withdraw          string // path, for what has no form to be changed in
	Gone              bool   // withdrawn
	Before            []journalBefore
}

// journalBefore is an entry that was corrected.
type journalBefore struct{ Says, Recorded string }

const firstLines = 12

// newJournalView lists entries, newest first. What was corrected stands under
// what took its place.
func newJournalView(sp specimen, u care.Units, entries []care.Entry, all bool) journalView {
	v := journalView{}
	byID := map[string]care.Entry{}
	next := map[string]care.Entry{} // the last correction of an entry
	for _, e := range entries {
		byID[e.ID] = e
		if other, ok := next[e.Corrects]; e.Corrects != "" && (!ok || e.ID > other.ID) {
			next[e.Corrects] = e
		}
	}
	var lines []journalLine
	var at []time.Time
	for _, first := range entries {
		if _, correction := byID[first.Corrects]; correction {
			continue
		}
		now, before := first, []journalBefore(nil)
		for hops := 0; hops < len(entries); hops++ {
			e, ok := next[now.ID]
			if !ok {
				break
			}
			before = append(before, journalBefore{joined(describe(u, now), now.Detail.Note), recordedWords(now)})
			now = e
		}
		gone := now.Kind == care.Withdrawn
		if gone {
			now = byID[now.Corrects]
			before = before[:len(before)-1]
		}
		line := newJournalLine(sp, u, now)
		line.Before, line.Gone = before, gone
		if gone {
			line.Change, line.Withdraw = "", ""
		}
		lines, at = append(lines, line), append(at, now.At)
	}
	order := make([]int, len(lines))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(at[b].Compare(at[a]), cmp.Compare(lines[b].Entry, lines[a].Entry)) })
	for _, i := range order {
		if !all && len(v.Lines) == firstLines {
			v.More, v.Path = len(lines)-firstLines, sp.path()+"?journal#journal"
			break
		}
		v.Lines = append(v.Lines, lines[i])
	}
	return v
}

func recordedWords(e care.Entry) string {
	if e.Recorded.IsZero() {
		return ""
	}
	return "written on " + e.Recorded.Format("2 January 2006, 15:04")
}

func newJournalLine(sp specimen, u care.Units, e care.Entry) journalLine {
	line := journalLine{
		Entry: e.ID, Date: e.At.Format("Mon 2 Jan 2006"), Kind: kindWords(e.Kind), Says: describe(u, e), Note: e.Detail.Note, By: e.By,
	}
	if h, m, sec := e.At.Clock(); h != 0 || m != 0 || sec != 0 {
		line.Time = e.At.Format("15:04")
	}
	if e.Detail.Photo != "" {
		line.Photo, line.PhotoPath = photoPath(e.Detail.Photo, thumbSize), sp.path()+"/photos?of="+e.ID
	}
	switch e.Kind {
	case care.PlantSet:
		line.Change = sp.path() + "/record"
	case care.RepotDone:
		line.Change = "/repot?plant=" + sp.id + "&change=" + e.ID
	default:
		if formOf(e.Kind) != nil {
			line.Change = entryPath(sp, e.ID)
		} else {
			line.Withdraw = entryPath(sp, e.ID) + "/withdraw"
		}
	}
	return line
}

func entryPath(sp specimen, entry string) string { return sp.path() + "/entry/" + entry }

// standingEntry returns the entry a path names, which must be of the plant and
// still count.
func (s *Server) standingEntry(r *http.Request, sp specimen) (care.Entry, error) {
	entries, err := s.Book.Journal(r.Context(), sp.id)
	if err != nil {
		return care.Entry{}, err
	}
	return standingOf(entries, r.PathValue("entry"))
}

func standingOf(entries []care.Entry, id string) (care.Entry, error) {
	for _, e := range care.Effective(entries, farAhead) {
		if e.ID == id {
			return e, nil
		}
	}
	return care.Entry{}, fmt.Errorf("%w: no entry of this plant that still counts", errNotFound)
}

// farAhead is later than any entry.
var farAhead = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

func (s *Server) withdraw(w http.ResponseWriter, r *http.Request) error {
	sp, err := s.specimenOf(r)
	if err != nil {
		return err
	}
	old, err := s.standingEntry(r, sp)
	if err != nil {
		return err
	}
	if old.Kind == care.PlantSet {
		return fmt.Errorf("%w: the record of a plant is changed, not withdrawn; a plant that was added by mistake is noted as having left", errForbidden)
	}
	e := s.withdrawal(old)
	if _, err := s.Book.Append(r.Context(), e); err != nil {
		return err
	}
	return seeOther(w, r, sp.path()+"?done=withdrawn#journal")
}

// correct puts an entry in the place of another of the same kind.
func (s *Server) correct(r *http.Request, old care.Entry, at time.Time, d care.Detail) error {
	e := s.newEntry(old.Kind, old.Plant, d)
	e.At, e.Corrects, e.By = at, old.ID, cmp.Or(byOf(r), old.By)
	_, err := s.Book.Append(r.Context(), e)
	return err
}

// keep appends entries of one plant that came from a form. The form carries the
// id of its first entry, so that the same form sent twice is kept once; sent
// again with something changed, it corrects what it said before.
func (s *Server) keep(r *http.Request, id string, entries ...care.Entry) error {
	if parsed, err := uuid.Parse(id); err == nil && parsed.Version() == 7 && len(entries) > 0 {
		entries[0].ID = parsed.String()
		journal, err := s.Book.Journal(r.Context(), entries[0].Plant)
		if err != nil {
			return err
		}
		for _, kept := range journal {
			if kept.ID != entries[0].ID {
				continue
			}
			if kept.Kind == entries[0].Kind && reflect.DeepEqual(kept.Detail, entries[0].Detail) {
				return nil
			}
			entries[0].ID, entries[0].Corrects = newID(), kept.ID
			break
		}
	}
	for i := range entries {
		entries[i].By = byOf(r)
	}
	_, err := s.Book.Append(r.Context(), entries...)
	return err
}
