package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"
)

// operation is one thing that programs may ask for: its route, who may use it,
// and the description of it are made from the same lines. One more operation is
// one more of them in the list of its subject.
type operation struct {
	method, path string
	id, summary  string
	params       []parameter
	body, answer any    // values whose types are described; nil where there is none
	example      any    // a body that is taken
	plain        string // what a body of plain text looks like, where that is taken too
	scope        scope  // what a token has to cover; reading if empty
	bytes        int64  // the longest body; sentBytes if 0
	statuses     []int  // problems besides those that every operation may have
	handle       func(s *Server, r *http.Request) (any, error)
}

// operations lists everything that programs may ask for.
func operations() []operation {
	return slices.Concat(collectionOperations(), plantOperations(), roundOperations(), spaceOperations(), waterOperations(), outcomeOperations(), caseOperations(), writeOperations(), photographOperations(), linkOperations())
}

// options make the route of an operation.
func (o operation) options() []option {
	most := upTo(max(o.bytes, sentBytes))
	switch {
	case o.method == http.MethodGet:
		return nil
	case o.scope == sensorScope:
		return []option{sensorsToo, most}
	case o.scope == writeScope:
		return []option{machinesToo, most}
	}
	return []option{changesNothing, most}
}

// sentBytes is the longest body of an operation.
const sentBytes = 1 << 20

// problems are the statuses of the problems that an operation may answer with.
func (o operation) problems() []int {
	list := append([]int{http.StatusUnauthorized, http.StatusForbidden}, o.statuses...)
	if o.body != nil {
		list = append(list, http.StatusBadRequest, http.StatusRequestEntityTooLarge)
	}
	for _, p := range o.params {
		if p.in == "query" {
			list = append(list, http.StatusBadRequest)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// parameter is one part of a path or query.
type parameter struct {
	name, in, about string
	schema          map[string]any
	required        bool
}

func inQuery(name, about string, schema map[string]any) parameter {
	return parameter{name, "query", about, schema, false}
}

func inPath(name, about string, schema map[string]any) parameter {
	return parameter{name, "path", about, schema, true}
}

func aNumber(low, high int) map[string]any {
	return map[string]any{"type": "integer", "minimum": low, "maximum": high}
}

var (
	aText = map[string]any{"type": "string"}
	aDate = map[string]any{"type": "string", "format": "date"}
	anID  = map[string]any{"type": "string", "format": "uuid"}
)

func apiRoutes(on *router) {
	for _, o := range operations() {
		on.add(o.method, o.path, func(s *Server, w http.ResponseWriter, r *http.Request) error {
			answer, err := o.handle(s, r)
			if err != nil {
				return err
			}
			return sendJSON(w, http.StatusOK, answer)
		}, o.options())
	}
	on.get("/api/openapi.json", (*Server).sendDescription, anyone)
	on.add("", "/api/{rest...}", (*Server).noOperation, []option{anyone})
}

// noOperation tells a path that is not there from one that is asked otherwise.
func (s *Server) noOperation(w http.ResponseWriter, r *http.Request) error {
	var methods []string
	for _, o := range operations() {
		if pathFits(o.path, r.URL.Path) {
			methods = append(methods, o.method)
		}
	}
	if methods == nil {
		return notThere(r)
	}
	w.Header().Set("Allow", strings.Join(methods, ", "))
	return fmt.Errorf("%w: it is asked by %s", errMethod, strings.Join(methods, " or "))
}

// pathFits reports whether a path is one of those that a route stands for.
func pathFits(route, path string) bool {
	parts, is := strings.Split(route, "/"), strings.Split(path, "/")
	if len(parts) != len(is) {
		return false
	}
	for i, part := range parts {
		if part != is[i] && !strings.HasPrefix(part, "{") {
			return false
		}
	}
	return true
}

// readSent reads the JSON body of an operation.
func readSent(r *http.Request, into any) error {
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind != "application/json" {
		return fmt.Errorf("%w: the body has to be application/json", errBadRequest)
	}
	in := json.NewDecoder(r.Body)
	in.DisallowUnknownFields()
	err := in.Decode(into)
	if err == nil {
		if _, more := in.Token(); more != io.EOF {
			err = errors.New("something follows the JSON")
			if large := (*http.MaxBytesError)(nil); errors.As(more, &large) {
				err = more
			}
		}
	}
	if large := (*http.MaxBytesError)(nil); err == nil || errors.As(err, &large) {
		return err
	}
	return fmt.Errorf("%w: %w", errBadRequest, err)
}
