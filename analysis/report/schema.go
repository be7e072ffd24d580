package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"time"
)

// A field is one field of an object whose fields stand in a fixed order.
type field struct {
	name  string
	value any
}

// An object is written with its fields in their order.
type object []field

// MarshalJSON writes the fields in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, f := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(f.name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(f.value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// fieldsOf turns a value whose structs have the tags of tables into what JSON writes: a
// figure that is not known and a time that is not known become null.
func fieldsOf(v any) any { return fieldsOfValue(reflect.ValueOf(v)) }

func fieldsOfValue(v reflect.Value) any {
	if t, ok := v.Interface().(time.Time); ok {
		if t.IsZero() {
			return nil
		}
		return t.UTC().Format(time.RFC3339)
	}
	switch v.Kind() {
	case reflect.Float64:
		if !finite(v.Float()) {
			return nil
		}
	case reflect.Slice:
		list := make([]any, v.Len())
		for i := range list {
			list[i] = fieldsOfValue(v.Index(i))
		}
		return list
	case reflect.Struct:
		var o object
		for i := range v.NumField() {
			o = append(o, field{v.Type().Field(i).Tag.Get("col"), fieldsOfValue(v.Field(i))})
		}
		return o
	}
	return v.Interface()
}

// Schema is the JSON Schema (draft 2020-12) of the results, made from the tags of their
// fields.
func Schema() ([]byte, error) {
	s := object{{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"title", "rimelog report"},
		{"description", "Results of a rimelog report, version " + fmt.Sprint(resultsVersion) + ". A figure or time that is not known is null. Fields may be added within a version."}}
	s = append(s, schemaOf(reflect.TypeFor[results]())...)
	b, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", schemaFile, err)
	}
	return append(b, '\n'), nil
}

// schemaOf describes a type.
func schemaOf(t reflect.Type) object {
	if t == reflect.TypeFor[time.Time]() {
		return object{{"type", []string{"string", "null"}}, {"format", "date-time"}}
	}
	switch t.Kind() {
	case reflect.Float64:
		return object{{"type", []string{"number", "null"}}}
	case reflect.Int, reflect.Int64:
		return object{{"type", "integer"}}
	case reflect.Bool:
		return object{{"type", "boolean"}}
	case reflect.Slice:
		return object{{"type", "array"}, {"items", schemaOf(t.Elem())}}
	case reflect.Struct:
		return objectSchema(t)
	}
	return object{{"type", "string"}}
}

func objectSchema(t reflect.Type) object {
	var properties object
	var required []string
	for i := range t.NumField() {
		tag := t.Field(i).Tag
		about := tag.Get("doc")
		if unit := tag.Get("unit"); unit != "" {
			about += " (" + unit + ")"
		}
		properties = append(properties, field{tag.Get("col"), append(object{{"description", about}}, schemaOf(t.Field(i).Type)...)})
		required = append(required, tag.Get("col"))
	}
	return object{{"type", "object"}, {"properties", properties}, {"required", required}}
}
