//go:build long

package demofleet

import (
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"
	"time"
)

// Whatever a mix may say by its limits makes a fleet: each parameter at both of its ends,
// and all of them at once.
func TestEveryLimitMakesAFleet(t *testing.T) {
	mix := DefaultMix()
	walk(reflect.ValueOf(mix), "", func(path string, f reflect.StructField, _ reflect.Value) {
		lo, hi := limits(f)
		for _, x := range []float64{lo, hi} {
			changed := DefaultMix()
			setLimit(&changed, path, x)
			if err := makes(t, changed); err != nil {
				t.Errorf("%s %g: %v", path, x, err)
			}
		}
	})
	for name, pick := range map[string]func(lo, hi float64) float64{
		"least": func(lo, _ float64) float64 { return lo }, "most": func(_, hi float64) float64 { return hi },
	} {
		all := DefaultMix()
		walk(reflect.ValueOf(mix), "", func(path string, f reflect.StructField, _ reflect.Value) {
			if lo, hi := limits(f); len(path) < 6 || path[:6] != "kinds." {
				setLimit(&all, path, pick(lo, hi))
			}
		})
		if err := makes(t, all); err != nil {
			t.Errorf("everything at its %s: %v", name, err)
		}
	}
}

// No parameter is idle: in a fleet in which everything happens to half of the systems and
// logs, or more, one of some values gives other bytes. Only a leak can be topped up.
func TestEveryParameterTells(t *testing.T) {
	usual := eventful()
	want := bytesOf(t, usual)
	walk(reflect.ValueOf(usual), "", func(path string, f reflect.StructField, _ reflect.Value) {
		if strings.HasSuffix(path, ".topped_up") && !strings.Contains(path, "leak") {
			return
		}
		lo, hi := limits(f)
		for _, x := range []float64{hi, lo, lo + (hi-lo)/10} {
			changed := eventful()
			setLimit(&changed, path, x)
			if bytesOf(t, changed) != want {
				return
			}
		}
		t.Errorf("%s: the fleet is the same whatever its value", path)
	})
}

// eventful is a mix in which everything happens to half of the systems and logs, or more.
func eventful() Mix {
	m := DefaultMix()
	walk(reflect.ValueOf(&m).Elem(), "", func(path string, f reflect.StructField, v reflect.Value) {
		lo, hi := limits(f)
		if v.Kind() == reflect.Float64 && lo == 0 && hi == 1 && v.Float() < 0.5 && !strings.HasPrefix(path, "controls.") {
			v.SetFloat(0.5)
		}
	})
	faults := reflect.ValueOf(&m.Faults).Elem()
	for i := range faults.NumField() {
		if k, ok := faults.Field(i).Addr().Interface().(*Trouble); ok {
			*k = Trouble{0.9, Range{0, 0.2}, Range{0.2, 0.4}, Range{0.05, 0.1}, 0.3, Range{0.12, 0.2}, 0.4, 0.3, 0.5}
		}
	}
	for _, k := range mistakes {
		m.Mistakes[k.id] = 0.2
	}
	m.Quirks, m.Visits.Weeks = nil, Range{3, 4}
	m.Stays, m.Meters.Heat, m.Machines.Receiver, m.Machines.ReceiverLevel, m.Machines.Flooding = Stays{1, 3}, 1, 1, 1, 1
	m.Sensors.Ordinary, m.Sensors.Sun, m.Controls.StageShift = 0.5, Range{1, 2}, 2
	return m
}

// bytesOf is the hash of a small fleet of a mix.
func bytesOf(t *testing.T, m Mix) [32]byte {
	t.Helper()
	return generate(t, Options{Seed: 6, Systems: 9, Years: 0.9, Logging: Mixed, Interval: 10 * time.Minute, Mix: &m}).sum()
}

// setLimit sets a parameter, or both ends of it.
func setLimit(m *Mix, path string, x float64) {
	walk(reflect.ValueOf(m).Elem(), "", func(at string, _ reflect.StructField, v reflect.Value) {
		switch {
		case at != path:
		case v.Kind() == reflect.Bool:
			v.SetBool(x > 0)
		case v.Kind() == reflect.Array:
			v.Set(reflect.ValueOf(Range{x, x}))
		default:
			v.SetFloat(x)
		}
	})
}

// makes makes a small fleet by a mix. A panic is an error that names where.
func makes(t *testing.T, m Mix) (err error) {
	t.Helper()
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	put := func(_ string, write func(io.Writer) error) error { return write(io.Discard) }
	o := Options{Seed: 6, Systems: 9, Years: 0.4, Logging: Mixed, Permanent: 1, PermanentDays: 3, Mix: &m}
	_, err = Generate(t.Context(), o, put, nil)
	return err
}
