package demofleet

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strings"

	"rimelog/pipeline/register"
)

// ReadMix reads a mix from JSON over the default one: what the text leaves out
// stays as it is; null for mistakes or quirks leaves all of them out. Errors name the
// field by its whole path, with what it may be.
func ReadMix(r io.Reader) (Mix, error) {
	m := DefaultMix()
	text, err := io.ReadAll(r)
	if err != nil {
		return m, err
	}
	d := json.NewDecoder(bytes.NewReader(text))
	if err := d.Decode(&m); err != nil {
		return m, fmt.Errorf("mix: %w", explained(err))
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return m, errors.New("mix: something stands after the end of it; want one object in {}")
	}
	var said map[string]any
	if err := json.Unmarshal(text, &said); err != nil {
		return m, fmt.Errorf("mix: %w", err)
	}
	return m, errors.Join(append(unknown(said, "", reflect.TypeFor[Mix]()), m.Validate())...)
}

// unknown refuses what a mix says that is no field of it, by the whole path. Names in maps
// are checked with their values.
func unknown(said map[string]any, at string, t reflect.Type) (errs []error) {
	known := map[string]reflect.Type{}
	for i := range t.NumField() {
		known[t.Field(i).Tag.Get("json")] = t.Field(i).Type
	}
	for _, name := range slices.Sorted(maps.Keys(said)) {
		field, ok := known[name]
		if !ok {
			errs = append(errs, fmt.Errorf("mix: %s%s: there is no such field; %s", at, name, oneOf(name, slices.Sorted(maps.Keys(known)))))
		} else if inner, isObject := said[name].(map[string]any); isObject && field.Kind() == reflect.Struct {
			errs = append(errs, unknown(inner, at+name+".", field)...)
		}
	}
	return errs
}

// oneOf proposes the known name that is like another, or all of them.
func oneOf(name string, known []string) string {
	if like := register.Nearest(name, known); like != "" {
		return "did you mean " + like + "?"
	}
	return "want one of " + strings.Join(known, ", ")
}

// UnmarshalJSON reads the two ends of a range.
func (r *Range) UnmarshalJSON(text []byte) error {
	var ends []*float64
	if err := json.Unmarshal(text, &ends); err != nil || len(ends) != 2 || ends[0] == nil || ends[1] == nil {
		if string(text) == "null" {
			return nil // as with any field: it stays as it is
		}
		return &json.UnmarshalTypeError{Value: string(text), Type: reflect.TypeFor[Range]()}
	}
	*r = Range{*ends[0], *ends[1]}
	return nil
}

// wanted is what a field of a type holds, for people.
var wanted = map[reflect.Kind]string{
	reflect.Float64: "a number", reflect.Bool: "true or false", reflect.Array: "two numbers, as in [4, 10]",
	reflect.Map: "names with numbers, as in {\"D7\": 0.1}", reflect.Struct: "an object in {}",
}

// explained says what the decoder found in words of a mix.
func explained(err error) error {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		at := wrong.Field
		if at == "" {
			at = "the whole of it"
		}
		return fmt.Errorf("%s: is %s; want %s", at, wrong.Value, wanted[wrong.Type.Kind()])
	}
	if errors.Is(err, io.EOF) {
		return errors.New("nothing in it; want an object in {}")
	}
	return err
}
