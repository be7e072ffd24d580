package demofleet

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"

	"rimelog/pipeline/register"
)

// Weights is how often things occur, relative to each other, by their names: 0 to
// 1000, and 1 for what is not named.
type Weights map[string]float64

// weightLimits are those of a weight, as the schema prints them.
const weightLimits = "0 to 1000"

func (w Weights) of(name string) float64 {
	if x, named := w[name]; named {
		return x
	}
	return 1
}

// pick draws one of several names; the first if none has a weight above 0.
func (w Weights) pick(r *rand.Rand, names []string) int {
	var sum float64
	for _, n := range names {
		sum += w.of(n)
	}
	x := sum * r.Float64()
	for i, n := range names {
		if x -= w.of(n); x < 0 {
			return i
		}
	}
	return 0
}

// check returns everything wrong with weights: the names are known, and at least one
// of them can occur.
func (w Weights) check(of string, known []string) (errs []error) {
	for _, name := range slices.Sorted(maps.Keys(w)) {
		if !slices.Contains(known, name) {
			errs = append(errs, fmt.Errorf("mix: %s.%s: there is no such name; %s", of, name, oneOf(name, known)))
		}
		if x := w[name]; !(x >= 0 && x <= 1000) {
			errs = append(errs, fmt.Errorf("mix: %s.%s %g: want %s", of, name, x, weightLimits))
		}
	}
	return append(errs, w.some(of, known)...)
}

// some refuses weights of which none is above 0.
func (w Weights) some(of string, names []string) []error {
	if slices.ContainsFunc(names, func(n string) bool { return w.of(n) > 0 }) {
		return nil
	}
	return []error{fmt.Errorf("mix: %s: want at least one of %s above 0", of, strings.Join(names, ", "))}
}

// checkWeights checks those of refrigerants and loggers. Every kind of system that
// occurs must find a refrigerant.
func (m Mix) checkWeights() []error {
	errs := m.Loggers.check("loggers", slices.Sorted(maps.Keys(everyLogger())))
	errs = append(errs, m.Classes.check("classes", slices.Sorted(maps.Keys(everyClass())))...)
	errs = append(errs, m.Fluids.check("refrigerants", slices.Sorted(maps.Keys(everyRefrigerant())))...)
	errs = append(errs, m.Devices.check("expansion", everyDevice())...)
	for i, weight := range m.Kinds.weights() {
		if weight > 0 {
			errs = append(errs, m.Devices.some("expansion of a "+recipes[i].noun, recipes[i].devices())...)
			errs = append(errs, m.Fluids.some("refrigerants of a "+recipes[i].noun, recipes[i].refrigerants)...)
		}
	}
	return errs
}

// deviceNames are what a mix calls expansion devices.
var deviceNames = map[register.Expansion]string{
	register.Thermostatic: "thermostatic", register.Electronic: "electronic", register.Capillary: "capillary", register.Orifice: "orifice",
}

// devices are the names of the expansion devices of a kind.
func (k recipe) devices() []string {
	return names(k.expansion, func(e register.Expansion) string { return deviceNames[e] })
}

// chooseDevice draws the expansion device of a system.
func (m *Mix) chooseDevice(r *rand.Rand, k recipe) register.Expansion {
	if len(m.Devices) == 0 {
		return pick(r, k.expansion)
	}
	return k.expansion[m.Devices.pick(r, k.devices())]
}

// everyDevice is all expansion devices that occur.
func everyDevice() []string {
	var list []string
	for _, k := range recipes {
		list = append(list, k.devices()...)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// everyRefrigerant is all that occur, equally often within a kind.
func everyRefrigerant() Weights {
	w := Weights{}
	for _, k := range recipes {
		for _, name := range k.refrigerants {
			w[name] = 1
		}
	}
	return w
}

// everyLogger is all that are carried about, equally often.
func everyLogger() Weights {
	w := Weights{}
	for _, l := range loggers {
		w[l.dialect.logger] = 1
	}
	return w
}

// everyClass is all classes of instruments, equally often.
func everyClass() Weights {
	w := Weights{}
	for _, c := range classes {
		w[c.name] = 1
	}
	return w
}

// chooseKit draws one of the firm's kits.
func (m *Mix) chooseKit(r *rand.Rand, kits []*kit) int {
	return m.Loggers.pick(r, names(kits, func(k *kit) string { return k.dialect.logger }))
}

// chooseLogger draws a make of logger.
func (m *Mix) chooseLogger(r *rand.Rand) logger {
	return loggers[m.Loggers.pick(r, names(loggers, func(l logger) string { return l.dialect.logger }))]
}
