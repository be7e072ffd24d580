package demofleet

import (
	"errors"
	"fmt"
	"time"
)

// Options says which fleet to make. The zero Options is the demo's.
type Options struct {
	Seed      uint64    // same seed, same fleet
	Systems   int       // default 32, 1 to 5000
	Years     float64   // of visits, default 3, at most 20
	Start     time.Time // default 3 April 2023, UTC
	Permanent int       // systems that also keep a permanent log, default 3 (at most Systems); below zero means none
	// PermanentDays is how long a permanent log is, default 120.
	PermanentDays int
}

// withDefaults fills what was left out.
func (o Options) withDefaults() Options {
	if o.Systems == 0 {
		o.Systems = 32
	}
	if o.Years == 0 {
		o.Years = 3
	}
	if o.Start.IsZero() {
		o.Start = time.Date(2023, 4, 3, 0, 0, 0, 0, time.UTC)
	}
	if o.Permanent == 0 {
		o.Permanent = 3
	}
	o.Permanent = max(0, min(o.Permanent, o.Systems))
	if o.PermanentDays == 0 {
		o.PermanentDays = 120
	}
	return o
}

// Validate returns everything wrong with the options, by name and value.
func (o Options) Validate() error {
	o = o.withDefaults()
	var errs []error
	if o.Systems < 1 || o.Systems > 5000 {
		errs = append(errs, fmt.Errorf("systems %d: want 1 to 5000", o.Systems))
	}
	if !(o.Years > 0 && o.Years <= 20) {
		errs = append(errs, fmt.Errorf("years %g: want more than 0, at most 20", o.Years))
	}
	if o.PermanentDays < 1 || float64(o.PermanentDays) > o.Years*365 {
		errs = append(errs, fmt.Errorf("permanent days %d: want 1 up to the fleet's years", o.PermanentDays))
	}
	return errors.Join(errs...)
}

// end is when the fleet's record ends.
func (o Options) end() time.Time { return o.Start.Add(time.Duration(o.Years * float64(year))) }
