package energy

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Options steer the comparison of energy. A zero field stands for its default.
type Options struct {
	BinWidth   float64 // width of a bin, K; default 2, 0.5 to 10
	BinWindows int     // fewest windows of a bin that is compared; default 5
	BinDays    int     // fewest days; default 2
	Axis       string  // what bins are made of: AxisOutdoor (default) or AxisLift
	Weights    string  // of bins between seasons: WeightsActual (default), or a season of EN 14825 by its name
	Path       string  // limits a model must meet: a name of Paths; default the first
}

// What bins are made of, and the weights that follow what was seen.
const (
	AxisOutdoor   = "outdoor temperature"
	AxisLift      = "lift"
	WeightsActual = "actual"
)

// EnsureDefaults fills in what is zero.
func (o *Options) EnsureDefaults() {
	b := Binning{o.BinWidth, o.BinWindows, o.BinDays}.WithDefaults()
	o.BinWidth, o.BinWindows, o.BinDays = b.Width, b.Windows, b.Days
	o.Axis = cmp.Or(o.Axis, AxisOutdoor)
	o.Weights = cmp.Or(o.Weights, WeightsActual)
	o.Path = cmp.Or(o.Path, Paths()[0].Name)
}

// Validate returns everything that is wrong with the options.
func (o Options) Validate() error {
	o.EnsureDefaults()
	var errs []error
	if !(o.BinWidth >= 0.5 && o.BinWidth <= 10) {
		errs = append(errs, fmt.Errorf("energy bin_width %g K: want 0.5 to 10", o.BinWidth))
	}
	if o.BinWindows < 1 || o.BinDays < 2 {
		errs = append(errs, fmt.Errorf("energy bin_windows %d and bin_days %d: want at least 1 and 2", o.BinWindows, o.BinDays))
	}
	for _, c := range []struct {
		name, value string
		words       []string
	}{
		{"axis", o.Axis, []string{AxisOutdoor, AxisLift}}, {"weights", o.Weights, weightNames()}, {"path", o.Path, pathNames()},
	} {
		if !slices.Contains(c.words, c.value) {
			errs = append(errs, fmt.Errorf("energy %s %q: want one of %s", c.name, c.value, strings.Join(c.words, "; ")))
		}
	}
	return errors.Join(errs...)
}

// Key is the options as canonical text, for fingerprints.
func (o Options) Key() string {
	o.EnsureDefaults()
	return fmt.Sprintf("%+v", o)
}

// Climates lists the seasons of EN 14825.
func Climates() []Climate { return []Climate{Average, Warmer, Colder, CoolingSeason} }

func weightNames() []string {
	names := []string{WeightsActual}
	for _, c := range Climates() {
		names = append(names, c.Name)
	}
	return names
}

func pathNames() []string {
	var names []string
	for _, p := range Paths() {
		names = append(names, p.Name)
	}
	return names
}

func (o Options) binning() Binning { return Binning{o.BinWidth, o.BinWindows, o.BinDays} }

// weights is how bins count between seasons.
func (o Options) weights() Weights {
	for _, c := range Climates() {
		if c.Name == o.Weights {
			return Standard(c)
		}
	}
	return nil
}

func (o Options) path() Path {
	for _, p := range Paths() {
		if p.Name == o.Path {
			return p
		}
	}
	return Paths()[0]
}
