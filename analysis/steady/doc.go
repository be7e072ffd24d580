// Package steady finds the stretches of a log in which a plant may be judged.
//
//  1. The running mask says for each sample whether the compressor ran, and by which evidence.
//  2. Stays cuts the samples where nothing was logged for hours: one stay at the machine each.
//  3. Each sample has a state: off, starting, running, pump-down, defrost, after defrost, or
//     hoses in the air. Phases tells them stretch by stretch, with stages and speed;
//     only stretches of running ones may be judged.
//  4. Windows of some minutes, or of whole hunting periods, are graded: steady,
//     oscillating about a mean that stands still, or transient. Past a transient one
//     the start is moved on in small steps until the plant has settled; first values that
//     still lie off the others are left out (head.go); what is left at the end of a stretch
//     joins its last window.
//     What a permanent logger showed on the day before, or the last visits did, says how much
//     this machine scatters at rest: a window of few values is judged by it too, and one that
//     scatters far beyond the calmest counts as oscillating.
//  5. A stay without a window gives a spot: shown with its uncertainty, never used
//     for baseline or trend.
//     Where a permanent logger's samples are further apart than pressures need to settle,
//     a day's single samples at rest speak for it in trends: short runs hold no window, and
//     a stop between two samples would go unseen in one.
//  6. Visits joins stays and windows of all months and splits them at interventions, by
//     the register's time or by the standstill or step that the log shows.
//
// A valve that hunts is normal: superheat swings by some kelvin over a minute or
// two. Its window is as good as its mean is stationary; a limit on the spread
// alone would throw all of it away. A transient needs evidence: a drift that is
// larger than its limit and larger than the noise explains.
package steady

import (
	"errors"
	"fmt"
	"time"
)

// Options steers how windows and visits are cut. The zero value of a field
// stands for its default.
type Options struct {
	Window       time.Duration // length of a window; default 5 min
	Shortest     time.Duration // a stretch at least this long gives one provisional window; default 3 min
	Settle       time.Duration // left out after a start; default 200 s: then the slopes say when it has settled
	AfterDefrost time.Duration // left out after a defrost; default 15 min
	AfterEvent   time.Duration // left out after an intervention with a time; default 15 min
	Resample     time.Duration // samples are averaged to at least this spacing; default 10 s
	VisitGap     time.Duration // samples further apart belong to different visits; default 4 h
	Periods      int           // hunting periods a window must hold; default 3
	Limits       Limits        // of drift and spread
	FixedLimits  bool          // limits of spread are not narrowed, nor noise known, by what the machine showed on the day before, or at the visits before
}

// EnsureDefaults fills in the defaults.
func (o *Options) EnsureDefaults() {
	for _, d := range []struct {
		field *time.Duration
		value time.Duration
	}{
		{&o.Window, 5 * time.Minute}, {&o.Shortest, 3 * time.Minute}, {&o.Settle, 200 * time.Second},
		{&o.AfterDefrost, 15 * time.Minute}, {&o.AfterEvent, 15 * time.Minute},
		{&o.Resample, 10 * time.Second}, {&o.VisitGap, 4 * time.Hour},
	} {
		if *d.field == 0 {
			*d.field = d.value
		}
	}
	if o.Periods == 0 {
		o.Periods = 3
	}
	o.Limits.ensureDefaults()
}

// Validate returns everything that is wrong with the options.
func (o Options) Validate() error {
	o.EnsureDefaults()
	var errs []error
	atLeast := func(name string, got, least time.Duration) {
		if got < least {
			errs = append(errs, fmt.Errorf("steady.%s %v: want at least %v", name, got, least))
		}
	}
	atLeast("window", o.Window, time.Minute)
	atLeast("shortest", o.Shortest, 30*time.Second)
	atLeast("settle", o.Settle, 0)
	atLeast("after_defrost", o.AfterDefrost, 0)
	atLeast("after_event", o.AfterEvent, 0)
	atLeast("resample", o.Resample, time.Second)
	atLeast("visit_gap", o.VisitGap, o.Window)
	if o.VisitGap > 24*time.Hour {
		errs = append(errs, fmt.Errorf("steady.visit_gap %v: want at most 24h", o.VisitGap))
	}
	if o.Periods < 2 {
		errs = append(errs, fmt.Errorf("steady.periods %d: want at least 2", o.Periods))
	}
	return errors.Join(append(errs, o.Limits.validate()...)...)
}

// Key is the options in canonical text, for fingerprints.
func (o Options) Key() string {
	o.EnsureDefaults()
	return fmt.Sprintf("%v %v %v %v %v %v %v %d %v %v", o.Window, o.Shortest, o.Settle, o.AfterDefrost, o.AfterEvent, o.Resample, o.VisitGap, o.Periods, o.Limits, o.FixedLimits)
}
