package web

import (
	"encoding/json"
	"net/http"
	"strings"
)

// operation is one thing that programs may ask for: the route and the
// description of it are made from the same line.
type operation struct {
	method, path string
	id, summary  string
	params       []parameter
	body, answer any // values whose types are described; nil where there is none
	statuses     []int
	open         bool // without a token
	handle       func(s *Server, r *http.Request) (any, error)
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

func inPath(name, about string) parameter {
	return parameter{name, "path", about, map[string]any{"type": "string", "format": "uuid"}, true}
}

func aNumber(low, high int) map[string]any {
	return map[string]any{"type": "integer", "minimum": low, "maximum": high}
}

var (
	aText = map[string]any{"type": "string"}
	aDate = map[string]any{"type": "string", "format": "date"}
)

// apiRoutes registers every operation that has a handler here; the others have
// routes of their own.
func apiRoutes(on *router) {
	for _, o := range operations() {
		if o.handle == nil {
			continue
		}
		options := []option{}
		if o.open {
			options = append(options, anyone)
		}
		on.get(o.path, func(s *Server, w http.ResponseWriter, r *http.Request) error {
			answer, err := o.handle(s, r)
			if err != nil {
				return err
			}
			return sendJSON(w, http.StatusOK, answer)
		}, options...)
	}
	on.get("/api/openapi.json", (*Server).sendDescription, anyone)
	on.get("/api/{rest...}", func(_ *Server, _ http.ResponseWriter, r *http.Request) error { return notThere(r) }, anyone)
}

// sendDescription sends the description of the interface (OpenAPI 3.1).
func (s *Server) sendDescription(w http.ResponseWriter, _ *http.Request) error {
	text, err := json.MarshalIndent(apiDescription(operations()), "", "  ")
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/openapi+json")
	_, err = w.Write(append(text, '\n'))
	return err
}

// apiDescription makes the description from the operations themselves.
func apiDescription(list []operation) map[string]any {
	schemas := newSchemas()
	problems := map[string]any{"description": "What is wrong, in words (RFC 9457)", "content": map[string]any{"application/problem+json": map[string]any{"schema": schemas.of(problem{})}}}
	paths := map[string]any{}
	for _, o := range list {
		one := map[string]any{"operationId": o.id, "summary": o.summary}
		var params []any
		for _, p := range o.params {
			params = append(params, map[string]any{"name": p.name, "in": p.in, "description": p.about, "required": p.required, "schema": p.schema})
		}
		if params != nil {
			one["parameters"] = params
		}
		if o.body != nil {
			one["requestBody"] = map[string]any{"required": true, "content": map[string]any{"application/json": map[string]any{"schema": schemas.of(o.body)}}}
		}
		answers := map[string]any{"200": map[string]any{"description": "As asked for", "content": map[string]any{"application/json": map[string]any{"schema": schemas.of(o.answer)}}}}
		for _, status := range o.statuses {
			answers[statusText(status)] = problems
		}
		if o.open {
			one["security"] = []any{}
		} else {
			answers["401"] = problems
			if o.method != http.MethodGet {
				one["security"] = []any{map[string]any{"token": []any{}}}
				answers["403"] = problems
			}
		}
		one["responses"] = answers
		path := paths[o.path]
		if path == nil {
			path = map[string]any{}
			paths[o.path] = path
		}
		path.(map[string]any)[strings.ToLower(o.method)] = one
	}
	return map[string]any{
		"openapi": "3.1.0",
		"info": map[string]any{
			"title": "Velamen", "version": "1",
			"description": "A collection of recovering orchids: what stands where, what is due, and why. Quantities are in SI and the units named beside them. Reading takes any token, writing one that may write; tokens are made under Settings.",
		},
		"security":   []any{map[string]any{"token": []any{}}},
		"paths":      paths,
		"components": map[string]any{"schemas": schemas.known, "securitySchemes": map[string]any{"token": map[string]any{"type": "http", "scheme": "bearer"}}},
	}
}

func statusText(status int) string {
	text, _ := json.Marshal(status) // an integer has no error
	return string(text)
}
