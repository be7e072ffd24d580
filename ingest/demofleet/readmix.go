package demofleet

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
)

// ReadMix reads a mix from JSON over the default one: what the text leaves out
// stays as it is; null for mistakes or quirks leaves all of them out. Errors name the
// field.
func ReadMix(r io.Reader) (Mix, error) {
	m := DefaultMix()
	d := json.NewDecoder(r)
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return m, fmt.Errorf("mix: %w", explained(err))
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return m, errors.New("mix: something stands after the end of it; want one object in {}")
	}
	return m, m.Validate()
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
	if name, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		return fmt.Errorf("%s: there is no such field; want one of those the schema lists", name)
	}
	return err
}
