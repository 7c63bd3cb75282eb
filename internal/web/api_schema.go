package web

import (
	"encoding"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
)

// schemas describe Go types as JSON Schema 2020-12, which OpenAPI 3.1 uses, the
// way encoding/json writes them.
type schemas struct{ known map[string]any }

func newSchemas() *schemas { return &schemas{map[string]any{}} }

// of describes the type of a value.
func (s *schemas) of(value any) map[string]any { return s.typed(reflect.TypeOf(value)) }

var (
	textMarshaler = reflect.TypeFor[encoding.TextMarshaler]()
	jsonMarshaler = reflect.TypeFor[json.Marshaler]()
	timeType      = reflect.TypeFor[time.Time]()
)

// wordLists are the types of which every word is known. Where nothing was said
// the word is empty.
var wordLists = map[reflect.Type][]string{
	reflect.TypeFor[care.Kind]():           wordsOf(care.Kinds),
	reflect.TypeFor[care.Task]():           wordsOf(slices.Sorted(maps.Keys(taskForms))),
	reflect.TypeFor[care.Wetness]():        wordsOf(care.Wetnesses),
	reflect.TypeFor[care.SeenSign]():       wordsOf(care.SeenSigns),
	reflect.TypeFor[care.BladeCare]():      wordsOf(care.BladeCares),
	reflect.TypeFor[care.Quantity]():       wordsOf(care.Quantities),
	reflect.TypeFor[care.RecoveryEnding](): wordsOf(care.RecoveryEndings),
	reflect.TypeFor[care.Awaited]():        wordsOf(care.Awaiteds),
	reflect.TypeFor[care.SpaceKind]():      wordsOf(care.SpaceKinds),
	reflect.TypeFor[care.Work]():           wordsOf(care.Works),
	reflect.TypeFor[care.FlowerState]():    wordsOf(care.FlowerStates),
	reflect.TypeFor[care.AcidKind]():       wordsOf(care.AcidKinds),
}

func wordsOf[T ~string](list []T) []string {
	words := []string{""}
	for _, w := range list {
		words = append(words, string(w))
	}
	return words
}

func (s *schemas) typed(t reflect.Type) map[string]any {
	if words, listed := wordLists[t]; listed {
		return map[string]any{"type": "string", "enum": words}
	}
	switch {
	case t == timeType:
		return map[string]any{"type": "string", "format": "date-time"}
	case t.Kind() == reflect.Pointer:
		return s.typed(t.Elem())
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Uint8:
		return map[string]any{"type": "string", "contentEncoding": "base64"}
	case t.Implements(jsonMarshaler):
		return map[string]any{}
	case t.Implements(textMarshaler):
		return map[string]any{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Float32, reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return map[string]any{"type": "integer"}
	case reflect.Slice:
		// A list without anything in it may be written as null.
		return map[string]any{"type": []string{"array", "null"}, "items": s.typed(t.Elem())}
	case reflect.Array:
		return map[string]any{"type": "array", "items": s.typed(t.Elem())}
	case reflect.Map:
		return map[string]any{"type": []string{"object", "null"}, "additionalProperties": s.typed(t.Elem())}
	case reflect.Struct:
		return s.object(t)
	}
	return map[string]any{}
}

// object describes a struct once, under its name.
func (s *schemas) object(t reflect.Type) map[string]any {
	name := t.Name()
	if name == "" {
		return s.fields(t)
	}
	pkg := t.PkgPath()[strings.LastIndexByte(t.PkgPath(), '/')+1:]
	name = pkg + "." + name
	if s.known[name] == nil {
		s.known[name] = map[string]any{} // lest a type that holds itself go on for ever
		s.known[name] = s.fields(t)
	}
	return map[string]any{"$ref": "#/components/schemas/" + name}
}

func (s *schemas) fields(t reflect.Type) map[string]any {
	properties := map[string]any{}
	var required []string
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case name == "-" || !f.IsExported() && !f.Anonymous:
			continue
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			inner := s.fields(f.Type)
			for key, value := range inner["properties"].(map[string]any) {
				properties[key] = value
			}
			if more, ok := inner["required"].([]string); ok {
				required = append(required, more...)
			}
			continue
		case name == "":
			name = f.Name
		}
		schema := s.typed(f.Type)
		optional := strings.Contains(options, "omit")
		if f.Type.Kind() == reflect.Pointer && !optional {
			schema = map[string]any{"anyOf": []any{schema, map[string]any{"type": "null"}}}
		}
		properties[name] = schema
		if !optional {
			required = append(required, name)
		}
	}
	out := map[string]any{"type": "object", "properties": properties}
	if required != nil {
		out["required"] = required
	}
	return out
}
