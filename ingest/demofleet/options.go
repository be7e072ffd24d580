package demofleet

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Logging is who logs.
type Logging string

// The kinds of logging.
const (
	ByVisits  Logging = "visits"    // somebody comes with a logger
	Permanent Logging = "permanent" // loggers stay on every system
	Mixed     Logging = "mixed"     // visits, and permanent loggers on some
)

// Options says which fleet to make. The zero Options is the demo's.
type Options struct {
	Seed     uint64        `json:"seed"`     // same seed, same fleet
	Systems  int           `json:"systems"`  // default 40, 1 to 100 000
	Years    float64       `json:"years"`    // of record, default 3, at most 20
	Start    time.Time     `json:"start"`    // default 3 April 2023, UTC
	Logging  Logging       `json:"logging"`  // default mixed
	Interval time.Duration `json:"interval"` // of permanent loggers, default 60 s, 1 s to 1 h
	// Permanent is how many systems have a permanent logger in a mixed fleet, and
	// PermanentDays how many days it has been there at the end of the record (the
	// whole record where all are permanent); by default as the mix says.
	Permanent     int  `json:"permanent"`
	PermanentDays int  `json:"permanent_days"`
	Mix           *Mix `json:"mix"` // default DemoMix
}

// withDefaults fills what was left out.
func (o Options) withDefaults() Options {
	set := func(into *int, to int) {
		if *into == 0 {
			*into = to
		}
	}
	set(&o.Systems, 40)
	if o.Years == 0 {
		o.Years = 3
	}
	if o.Start.IsZero() {
		o.Start = time.Date(2023, 4, 3, 0, 0, 0, 0, time.UTC)
	}
	if o.Logging == "" {
		o.Logging = Mixed
	}
	if o.Interval == 0 {
		o.Interval = time.Minute
	}
	if o.Mix == nil {
		m := DemoMix()
		o.Mix = &m
	}
	return o.spread()
}

// spread settles how many permanent loggers there are, and for how long.
func (o Options) spread() Options {
	days := int(o.Years * 365)
	switch {
	case o.Logging == Permanent:
		o.Permanent, o.PermanentDays = o.Systems, days
	case o.Logging == ByVisits:
		o.Permanent = 0
	default:
		if o.Permanent == 0 {
			o.Permanent = int(math.Round(o.Mix.Stays.Share * float64(o.Systems)))
		}
		if o.PermanentDays == 0 {
			o.PermanentDays = max(1, min(int(o.Mix.Stays.Days), days/2))
		}
	}
	o.Permanent = max(0, min(o.Permanent, o.Systems))
	return o
}

// Validate returns everything wrong with the options, by name and value.
func (o Options) Validate() error {
	o = o.withDefaults()
	var errs []error
	if o.Systems < 1 || o.Systems > 100_000 {
		errs = append(errs, fmt.Errorf("systems %d: want 1 to 100000", o.Systems))
	}
	if !(o.Years > 0 && o.Years <= 20) {
		errs = append(errs, fmt.Errorf("years %g: want more than 0, at most 20", o.Years))
	}
	if o.Logging != ByVisits && o.Logging != Permanent && o.Logging != Mixed {
		errs = append(errs, fmt.Errorf("logging %q: want visits, permanent or mixed", o.Logging))
	}
	if o.Interval < time.Second || o.Interval > time.Hour {
		errs = append(errs, fmt.Errorf("interval %v: want 1s to 1h", o.Interval))
	}
	if o.Permanent > 0 && (o.PermanentDays < 1 || float64(o.PermanentDays) > o.Years*366) {
		errs = append(errs, fmt.Errorf("permanent days %d: want 1 up to the fleet's years", o.PermanentDays))
	}
	return errors.Join(append(errs, o.Mix.Validate())...)
}

// end is when the fleet's record ends.
func (o Options) end() time.Time { return o.Start.Add(time.Duration(o.Years * float64(year))) }
