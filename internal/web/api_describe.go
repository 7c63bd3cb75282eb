package web

import (
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
)

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
	paths := map[string]any{}
	for _, o := range list {
		at, known := paths[o.path].(map[string]any)
		if !known {
			at = map[string]any{}
			paths[o.path] = at
		}
		at[strings.ToLower(o.method)] = o.describe(schemas)
	}
	return map[string]any{
		"openapi": "3.1.0",
		"info": map[string]any{
			"title": "Velamen", "version": "1",
			"description": "A collection of recovering orchids: what stands where, what is due, and why. Quantities are in SI and the units named beside them. " +
				"Tokens are made under Settings and cover one of three: read; write, which includes read and readings; readings, which covers sending them and nothing else. " +
				"Whatever is written becomes an entry of the journal, the way the pages write.",
		},
		"paths": paths,
		"components": map[string]any{
			"schemas": schemas.known,
			"securitySchemes": map[string]any{"token": map[string]any{
				"type": "http", "scheme": "bearer", "description": "The role beside an operation is what the token has to cover.",
			}},
		},
	}
}

// describe makes the description of one operation.
func (o operation) describe(schemas *schemas) map[string]any {
	needs := orWord(string(o.scope), string(readScope))
	one := map[string]any{"operationId": o.id, "summary": o.summary, "security": []any{map[string]any{"token": []string{needs}}}}
	var params []any
	for _, p := range o.params {
		params = append(params, map[string]any{"name": p.name, "in": p.in, "description": p.about, "required": p.required, "schema": p.schema})
	}
	if params != nil {
		one["parameters"] = params
	}
	if o.body != nil {
		sent := map[string]any{"schema": schemas.of(o.body)}
		if o.example != nil {
			sent["example"] = o.example
		}
		content := map[string]any{"application/json": sent}
		if o.plain != "" {
			content["text/plain"] = map[string]any{"schema": aText, "example": o.plain}
		}
		one["requestBody"] = map[string]any{"required": true, "content": content}
	}
	content := func(media string, schema any) map[string]any {
		return map[string]any{media: map[string]any{"schema": schema}}
	}
	answers := map[string]any{"200": map[string]any{"description": "As asked for", "content": content("application/json", schemas.of(o.answer))}}
	for _, status := range o.problems() {
		answers[strconv.Itoa(status)] = map[string]any{"description": http.StatusText(status) + ", in words (RFC 9457)", "content": content("application/problem+json", schemas.of(problem{}))}
	}
	one["responses"] = answers
	return one
}
