package web

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"net/http"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/emersion/go-ical"
	"github.com/emersion/go-webdav"
	"github.com/emersion/go-webdav/caldav"

	"velamen/internal/calendar"
	"velamen/internal/care"
)

// The jobs of today as to-dos over CalDAV (RFC 4791). A to-do that is ticked is
// an entry in the journal; ticked twice it is there once, unticked it is
// withdrawn. Nothing else can be written: to-dos come from the journal.

const (
	davRoot      = "/dav/"
	davPrincipal = davRoot + "grower/"
	davHome      = davPrincipal + "calendars/"
	davTodos     = davHome + "todo/"
)

func davRoutes(on *router) {
	on.add("", davRoot, (*Server).serveDAV, []option{anyone})
	on.add("", "/.well-known/caldav", func(_ *Server, w http.ResponseWriter, r *http.Request) error {
		http.Redirect(w, r, davPrincipal, http.StatusMovedPermanently)
		return nil
	}, []option{anyone})
}

// serveDAV answers a program for to-dos. It asks for a name and a password as
// such programs do; the password is a token.
func (s *Server) serveDAV(w http.ResponseWriter, r *http.Request) error {
	writes := route{method: http.MethodPut, machines: true}
	if r.Method != http.MethodPut && r.Method != http.MethodDelete {
		writes.method = http.MethodGet
	}
	err := s.access.allow(r, writes)
	if errors.Is(err, errSignIn) {
		w.Header().Set("WWW-Authenticate", `Basic realm="Velamen", charset="UTF-8"`)
		http.Error(w, "a token is needed as the password", http.StatusUnauthorized)
		return nil
	}
	if err != nil {
		return err
	}
	if r.URL.Path == davRoot {
		r.URL.Path = davPrincipal // programs begin anywhere
	}
	handler := caldav.Handler{Backend: davBackend{s}, Prefix: strings.TrimSuffix(davRoot, "/")}
	handler.ServeHTTP(w, r)
	return nil
}

// davBackend is what the CalDAV protocol is answered from.
type davBackend struct{ s *Server }

func (davBackend) CurrentUserPrincipal(context.Context) (string, error) { return davPrincipal, nil }
func (davBackend) CalendarHomeSetPath(context.Context) (string, error)  { return davHome, nil }

func (davBackend) CreateCalendar(context.Context, *caldav.Calendar) error {
	return webdav.NewHTTPError(http.StatusForbidden, errors.New("there is one list of to-dos, and it is made from the journal"))
}

var todoList = caldav.Calendar{Path: davTodos, Name: "Velamen", Description: "What is due today", MaxResourceSize: usualBytes, SupportedComponentSet: []string{"VTODO"}}

func (davBackend) ListCalendars(context.Context) ([]caldav.Calendar, error) {
	return []caldav.Calendar{todoList}, nil
}

func (davBackend) GetCalendar(_ context.Context, at string) (*caldav.Calendar, error) {
	if strings.TrimSuffix(at, "/") != strings.TrimSuffix(davTodos, "/") {
		return nil, webdav.NewHTTPError(http.StatusNotFound, errors.New("no such calendar"))
	}
	list := todoList
	return &list, nil
}

// todos are the jobs of today: those due, and those answered today.
func (s *Server) todos(ctx context.Context) ([]calendar.Todo, error) {
	today := s.Book.Today()
	jobs, err := s.openToday(ctx)
	if err != nil {
		return nil, err
	}
	entries, now := s.Book.Entries(), s.Now()
	var list []calendar.Todo
	for _, job := range jobs {
		if tickable(job.Task) {
			list = append(list, calendar.Todo{Job: job, Made: now, Entries: entries})
		}
	}
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			for key, answer := range p.Done {
				task := care.TaskOf(key)
				if answer.Skipped || !tickable(task) || !dayOf(answer.At).Equal(today) {
					continue
				}
				due, err := time.Parse(time.DateOnly, key[strings.LastIndexByte(key, '/')+1:])
				if err != nil {
					continue
				}
				job := care.Job{Key: key, Plant: id, Label: p.Record.Label, Name: p.Record.Name, Space: p.Record.Space, Task: task, Due: due, Latest: due}
				list = append(list, calendar.Todo{Job: job, Done: true, Made: answer.At, Entries: entries})
			}
		}
	})
	slices.SortStableFunc(list, func(a, b calendar.Todo) int { return strings.Compare(a.Job.Key, b.Job.Key) })
	return list, nil
}

// davObject is a to-do as a resource. Its tag changes with what it says, not with
// when it was asked for.
func davObject(t calendar.Todo) (caldav.CalendarObject, error) {
	text := t.Write()
	data, err := ical.NewDecoder(strings.NewReader(text)).Decode()
	if err != nil {
		return caldav.CalendarObject{}, fmt.Errorf("writing a to-do: %w", err)
	}
	sum := fnv.New64a()
	fmt.Fprintf(sum, "%s\n%v\n%s\n%s\n%s", t.Job.Key, t.Done, t.Job.Amount, t.Job.Label, t.Job.Name)
	return caldav.CalendarObject{
		Path: davTodos + calendar.TodoUID(t.Job.Key) + ".ics", ModTime: t.Made, ContentLength: int64(len(text)), ETag: fmt.Sprintf("%016x", sum.Sum64()), Data: data,
	}, nil
}

func (b davBackend) ListCalendarObjects(ctx context.Context, at string, _ *caldav.CalendarCompRequest) ([]caldav.CalendarObject, error) {
	if _, err := b.GetCalendar(ctx, at); err != nil {
		return nil, err
	}
	todos, err := b.s.todos(ctx)
	if err != nil {
		return nil, err
	}
	list := make([]caldav.CalendarObject, 0, len(todos))
	for _, t := range todos {
		one, err := davObject(t)
		if err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return list, nil
}

func (b davBackend) QueryCalendarObjects(ctx context.Context, at string, query *caldav.CalendarQuery) ([]caldav.CalendarObject, error) {
	list, err := b.ListCalendarObjects(ctx, at, nil)
	if err != nil {
		return nil, err
	}
	return caldav.Filter(query, list)
}

// todoAt returns the to-do of a path.
func (b davBackend) todoAt(ctx context.Context, at string) (calendar.Todo, error) {
	uid := strings.TrimSuffix(path.Base(at), ".ics")
	todos, err := b.s.todos(ctx)
	if err != nil {
		return calendar.Todo{}, err
	}
	for _, t := range todos {
		if path.Dir(at)+"/" == davTodos && calendar.TodoUID(t.Job.Key) == uid {
			return t, nil
		}
	}
	return calendar.Todo{}, webdav.NewHTTPError(http.StatusNotFound, errors.New("no such to-do"))
}

func (b davBackend) GetCalendarObject(ctx context.Context, at string, _ *caldav.CalendarCompRequest) (*caldav.CalendarObject, error) {
	t, err := b.todoAt(ctx, at)
	if err != nil {
		return nil, err
	}
	one, err := davObject(t)
	return &one, err
}

// PutCalendarObject takes a tick. One program at a time: what was ticked twice is
// found ticked.
func (b davBackend) PutCalendarObject(ctx context.Context, at string, data *ical.Calendar, opts *caldav.PutCalendarObjectOptions) (*caldav.CalendarObject, error) {
	b.s.ticking.Lock()
	defer b.s.ticking.Unlock()
	refuse := func(why string) (*caldav.CalendarObject, error) {
		return nil, webdav.NewHTTPError(http.StatusForbidden, errors.New(why))
	}
	_, uid, err := caldav.ValidateCalendarObject(data)
	if err != nil {
		return nil, webdav.NewHTTPError(http.StatusBadRequest, err)
	}
	t, err := b.todoAt(ctx, at)
	if err != nil {
		return refuse("to-dos are made from the journal; new ones cannot be added here")
	}
	if uid != calendar.TodoUID(t.Job.Key) {
		return refuse("the to-do is another one than its address says")
	}
	before, err := davObject(t)
	if err != nil {
		return nil, err
	}
	if opts != nil && opts.IfMatch.IsSet() {
		if tag, err := opts.IfMatch.ETag(); err == nil && !opts.IfMatch.IsWildcard() && tag != before.ETag {
			return nil, webdav.NewHTTPError(http.StatusPreconditionFailed, errors.New("the to-do has changed since"))
		}
	}
	if err := b.tick(ctx, t, davStatus(data)); err != nil {
		return nil, err
	}
	if after, err := b.GetCalendarObject(ctx, at, nil); err == nil {
		return after, nil
	}
	return &before, nil // skipped: it is not on today's list any more
}

// davStatus is what a to-do says of itself.
func davStatus(data *ical.Calendar) string {
	for _, one := range data.Children {
		if one.Name != ical.CompToDo {
			continue
		}
		if status := one.Props.Get(ical.PropStatus); status != nil && status.Value != "" {
			return strings.ToUpper(status.Value)
		}
		if one.Props.Get(ical.PropCompleted) != nil {
			return "COMPLETED"
		}
	}
	return "NEEDS-ACTION"
}

// tick brings the journal to what a to-do says.
func (b davBackend) tick(ctx context.Context, t calendar.Todo, status string) error {
	s := b.s
	var e care.Entry
	switch {
	case status == "COMPLETED" && !t.Done:
		e = s.ticked(t.Job, "", "")
	case status == "CANCELLED" && !t.Done:
		e = s.ticked(t.Job, "crossed out in the list of to-dos", "")
	case status == "NEEDS-ACTION" && t.Done:
		e = s.newEntry(care.Withdrawn, t.Job.Plant, care.Detail{})
		s.Book.Read(func(c *care.Collection) {
			if p := c.Plants[t.Job.Plant]; p != nil {
				e.Corrects = p.Done[t.Job.Key].Entry
			}
		})
	default:
		return nil // as it is already, or under way
	}
	e.By = "to-do list"
	_, err := s.Book.Append(ctx, e)
	return err
}

func (davBackend) DeleteCalendarObject(context.Context, string) error {
	return webdav.NewHTTPError(http.StatusForbidden, errors.New("to-dos are made from the journal; cross one out rather than delete it"))
}
