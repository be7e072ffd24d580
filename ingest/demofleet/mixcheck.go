package demofleet

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Validate returns everything out of its limits, by the field's path.
func (m Mix) Validate() error {
	var errs []error
	walk(reflect.ValueOf(m), "", func(path string, f reflect.StructField, v reflect.Value) {
		lo, hi := limits(f)
		for _, x := range numbers(v) {
			if !(x >= lo && x <= hi) {
				errs = append(errs, fmt.Errorf("mix: %s %g: want %g to %g", path, x, lo, hi))
			}
		}
		if r, ok := v.Interface().(Range); ok && r[0] > r[1] {
			errs = append(errs, fmt.Errorf("mix: %s [%g, %g]: want the lower end first", path, r[0], r[1]))
		}
	})
	errs = append(errs, checkShares("mistakes", m.Mistakes, names(mistakes, func(k mistake) string { return k.id }))...)
	errs = append(errs, checkShares("quirks", m.Quirks, names(quirks, func(k quirk) string { return k.id }))...)
	errs = append(errs, m.checkWeights()...)
	if k := reflect.ValueOf(m.Kinds); k.IsZero() {
		errs = append(errs, errors.New("mix: kinds: want at least one above 0"))
	}
	return errors.Join(errs...)
}

// Schema prints every parameter with its default, limits and meaning.
func Schema(w io.Writer) error {
	var b strings.Builder
	walk(reflect.ValueOf(DefaultMix()), "", func(path string, f reflect.StructField, v reflect.Value) {
		lo, hi := limits(f)
		fmt.Fprintf(&b, "%-32s default %-14s %-14s %s\n", path, plainText(v), fmt.Sprintf("%g to %g", lo, hi), f.Tag.Get("doc"))
	})
	for _, name := range slices.Sorted(maps.Keys(DefaultMix().Fluids)) {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "refrigerants."+name, 1.0, weightLimits, "relative to the others of a kind")
	}
	for _, name := range everyDevice() {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "expansion."+name, 1.0, weightLimits, "relative to the others of a kind")
	}
	for _, name := range slices.Sorted(maps.Keys(DefaultMix().Loggers)) {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "loggers."+name, 1.0, weightLimits, "relative to the others")
	}
	for _, c := range classes {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "classes."+c.name, 1.0, weightLimits, "relative to the others, where sensors.logger_class leaves it open")
	}
	for _, k := range mistakes {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "mistakes."+k.id, DefaultMix().Mistakes[k.id], "0 to 1", k.doc)
	}
	for _, k := range quirks {
		fmt.Fprintf(&b, "%-32s default %-14g %-14s %s\n", "quirks."+k.id, DefaultMix().Quirks[k.id], "0 to 1", k.doc)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// checkShares checks shares by name: the names are known and the shares in 0 to 1.
func checkShares(of string, shares map[string]float64, known []string) (errs []error) {
	for _, id := range slices.Sorted(maps.Keys(shares)) {
		if !slices.Contains(known, id) {
			errs = append(errs, fmt.Errorf("mix: %s.%s: there is no such name; %s", of, id, oneOf(id, known)))
		}
		if x := shares[id]; !(x >= 0 && x <= 1) {
			errs = append(errs, fmt.Errorf("mix: %s.%s %g: want 0 to 1", of, id, x))
		}
	}
	return errs
}

func names[T any](list []T, name func(T) string) []string {
	all := make([]string, len(list))
	for i, x := range list {
		all[i] = name(x)
	}
	return all
}

// walk calls visit for every number, range and switch of a mix.
func walk(v reflect.Value, path string, visit func(string, reflect.StructField, reflect.Value)) {
	for i := range v.NumField() {
		f, name := v.Type().Field(i), v.Type().Field(i).Tag.Get("json")
		if path != "" {
			name = path + "." + name
		}
		switch f.Type.Kind() {
		case reflect.Struct:
			walk(v.Field(i), name, visit)
		case reflect.Map: // these have lists of their own
		default:
			visit(name, f, v.Field(i))
		}
	}
}

func limits(f reflect.StructField) (lo, hi float64) {
	if f.Type.Kind() == reflect.Bool {
		return 0, 1
	}
	lo, errLo := strconv.ParseFloat(f.Tag.Get("lo"), 64)
	hi, errHi := strconv.ParseFloat(f.Tag.Get("hi"), 64)
	if errLo != nil || errHi != nil {
		panic("demofleet: field " + f.Name + " needs limits")
	}
	return lo, hi
}

func numbers(v reflect.Value) []float64 {
	switch x := v.Interface().(type) {
	case float64:
		return []float64{x}
	case Range:
		return x[:]
	}
	return nil
}

func plainText(v reflect.Value) string {
	if r, ok := v.Interface().(Range); ok {
		return fmt.Sprintf("[%g, %g]", r[0], r[1])
	}
	return fmt.Sprint(v.Interface())
}
