package web

import (
	"context"
	"strings"

	"velamen/internal/care"
)

// Ticks come from a sitter's link, from a list of to-dos and from programs: a job
// was done as it was asked for, or was not, and nothing was measured.

// tickable reports whether a tick can answer a task. A pest look is ticked where
// nothing was seen; what was seen is a note.
func tickable(t care.Task) bool { return sittersTasks[t] || t == care.Review }

// sittersTasks are the tasks that whoever stands in may tick: those that take no
// measurement and no judgement.
var sittersTasks = map[care.Task]bool{care.Flushing: true, care.Watering: true, care.Feeding: true, care.Misting: true, care.LookForPests: true}

// openToday are the jobs of today that are not answered yet, those that do not
// fit the day included: what does not fit the grower's may fit another's.
func (s *Server) openToday(ctx context.Context) (jobs []care.Job, err error) {
	round, _, err := s.Book.Round(ctx, s.Book.Today())
	for _, stop := range round.Stops {
		jobs = append(jobs, stop.Jobs...)
	}
	for _, w := range round.Waits {
		jobs = append(jobs, w.Job)
	}
	return jobs, err
}

// ticked is the entry that answers a job: done in the amount that it asked for,
// or skipped where there is a reason.
func (s *Server) ticked(job care.Job, skipped, note string) care.Entry {
	if skipped != "" {
		return s.newEntry(care.Skipped, job.Plant, care.Detail{Job: job.Key, Reason: skipped, Note: note})
	}
	kind, d := job.Task.Answers(), care.Detail{Job: job.Key, Note: note}
	if job.ML > 0 && (kind == care.FlushDone || kind == care.WaterGiven || kind == care.MistDone) {
		d.VolumeML = &job.ML
	}
	return s.newEntry(kind, job.Plant, d)
}

// plantOfJob is the id of the plant that a job's key names.
func plantOfJob(key string) string {
	plant, _, _ := strings.Cut(key, "/")
	return plant
}
