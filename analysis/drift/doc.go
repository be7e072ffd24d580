// Package drift says what changes slowly at a machine, since when, and what it
// may be.
//
//  1. Visits are cut into segments at events that change the machine: only what
//     lies between two of them is compared.
//  2. Judge works out a trend per feature after each visit, from visits up to it
//     only: outdoor temperature taken out, a Theil-Sen slope through all with its
//     interval and Kendall's test, and beside it a baseline with a change after an
//     onset, every onset tried (robust.Break). It is what a person sees of a feature.
//  3. Causes weighs after each visit what may be wrong. A coil is told by how far its
//     difference lies off that of the clean coil in the same weather, at the same heat, with
//     fans as slow as they are then (coil.go, band.go), or its pressure held at one value by
//     flooding (flooded.go), which the record shows where the register does not. A cleaning
//     puts the coil right whose difference fell at that visit, a part that was changed those
//     whose difference moved (cleaned.go); what starved an evaporator before charge was added
//     is no dirt. What was not
//     logged counts as what it mostly is, outdoor temperature as what the machine's own tell,
//     and the value as less sure (unlogged.go). Visits of a reversible machine in heating
//     tell of its circuit, beside those in cooling. Each gauge (subcooling, superheat, the
//     coils' differences, efficiency) has a baseline in the weather and load, with what is believed of it beforehand, an offset for each set of
//     instruments, a slow drift of theirs, and a share of wild visits
//     (robust.Belief). Subcooling on its floor only says that there is none above it. Each fault says how the gauges move when it begins at some
//     onset, some of them as far as another one (a tie: gas lifts subcooling as far as the
//     condenser's difference, too much charge a small part of it), and all of it, a part
//     or nothing where head pressure is held up. Bayes' rule over all faults and onsets,
//     over a second fault beside the leading one, and over a third beside the likeliest two, gives the
//     probabilities; where the register does not say what feeds the evaporator, over both devices.
//     One case in ten is left to mistakes. Where a logger stays, that gauges lie a little off a fault's
//     lines speaks for nothing unknown, since no machine follows them quite; what came at once must
//     show in the weeks about its onset (atonce.go), and more is asked of what is raised: that no other
//     cause outshines it, and that its season was seen before (patient.go). Beside the leading fault
//     records are fitted anew, so that it neither counts as scatter nor makes visits wild; the
//     circuit may lean otherwise with the weather since what came at once. Lost charge starves no
//     valve that holds superheat, so that an evaporator whose difference rises then is dirty besides.
//     What a fault that went very far does to other gauges names no second one, and the two
//     likeliest kinds are named whatever they lack.
//     A cause must not fall apart with any of the last visits left out; much gas behind a fixed
//     opening, which moves every gauge at once, is told by the first visit that shows it.
//     Findings walks through the causes in time and raises those that are sure, large
//     enough, likelier than their rivals, and no sign of another that shows (beside.go). A loss of charge is turned into percent and
//     kilograms by a charge index (loss.go): over all onsets, and over all times at which
//     subcooling may have been used up; weighed acts show the machine's own sensitivity.
//  4. Present looks at the latest visit alone: how the settled machine stood
//     against its limits (package condition). Of a machine
//     with a receiver it counts visits with gas in the liquid line (subcooling gone, the valve at
//     its stop, superheat far above what it holds) by outdoor temperature, the latest against
//     those before (flashgas.go).
//  5. What people answered to findings is evidence (answer.go): it dates repairs, lowers
//     findings, and counts how often they were right (HitRate).
//  6. Priors are what systems of one kind teach each other, by quarter; Baselines pool
//     them with a system's own visits, and Undated finds what was low from the start.
//  7. Rank orders the findings of the fleet.
//
// Calling nothing is better than calling wrong: of six published field tools that
// were tested on a library of faults, five did more harm than good by false
// alarms (Yuill & Braun 2012, 2017). So a finding needs limits of its own kind (see
// patterns) and a size worth a visit, and what cannot be judged says why instead of
// counting as healthy.
package drift

import (
	"errors"
	"fmt"
	"time"

	"rimelog/pipeline/table"
)

// Options steers trends and findings. The zero value of a field stands for its
// default.
type Options struct {
	// Significance is the chance of such a trend in noise below which it counts.
	// Default 0.0013. One look at 0.05 would alarm at every twentieth machine;
	// a record is looked at after every visit, some twelve times a year with
	// results that depend on each other, and fewer than one false finding in 100
	// system-years is wanted (measured by the package's simulation). The line through
	// a segment and the break after a baseline share it.
	Significance float64
	// Confidence of intervals. Default 0.95.
	Confidence float64
	// MinVisits that a trend needs. Default 6: with fewer, no order of values is
	// as rare as Significance.
	MinVisits int
	// MinSpan that a trend needs from first to last visit. Default 60 days:
	// weather lasts for weeks, and a slow leak does not show in less.
	MinSpan time.Duration
	// DecideEvery is how far apart decisions are at least. Visits in between are
	// pooled into one value, their median, since neighbouring days resemble each
	// other. Default 7 days.
	DecideEvery time.Duration
	// Quiet is how many decisions within noise in a row close a finding. Default 3.
	Quiet int
	// Memory is how long it counts that somebody who was sent found nothing, or another
	// cause. Default 180 days: what shows once in a season is seen again in the next.
	Memory time.Duration
	// Unseen is how long a system may be without a usable visit. Default 180 days.
	Unseen time.Duration
	// Waiting says what waiting costs, for the order of findings. Default: nothing, and
	// findings are ordered by how soon they matter.
	Waiting Weights
}

// EnsureDefaults fills in the defaults.
func (o *Options) EnsureDefaults() {
	if o.Significance == 0 {
		o.Significance = 0.0013
	}
	if o.Confidence == 0 {
		o.Confidence = 0.95
	}
	if o.MinVisits == 0 {
		o.MinVisits = 6
	}
	if o.MinSpan == 0 {
		o.MinSpan = 60 * 24 * time.Hour
	}
	if o.DecideEvery == 0 {
		o.DecideEvery = 7 * 24 * time.Hour
	}
	if o.Quiet == 0 {
		o.Quiet = 3
	}
	if o.Unseen == 0 {
		o.Unseen = 180 * 24 * time.Hour
	}
	if o.Memory == 0 {
		o.Memory = 180 * 24 * time.Hour
	}
}

// Validate returns everything that is wrong with the options.
func (o Options) Validate() error {
	o.EnsureDefaults()
	var errs []error
	if !(o.Significance > 0 && o.Significance < 0.5) {
		errs = append(errs, fmt.Errorf("drift.significance %v: want more than 0 and less than 0.5", o.Significance))
	}
	if !(o.Confidence > 0.5 && o.Confidence < 1) {
		errs = append(errs, fmt.Errorf("drift.confidence %v: want more than 0.5 and less than 1", o.Confidence))
	}
	if o.MinVisits < 4 {
		errs = append(errs, fmt.Errorf("drift.min_visits %d: want at least 4", o.MinVisits))
	}
	if o.MinSpan < 0 {
		errs = append(errs, fmt.Errorf("drift.min_span %v: want 0 or more", o.MinSpan))
	}
	if o.DecideEvery < 0 {
		errs = append(errs, fmt.Errorf("drift.decide_every %v: want 0 or more", o.DecideEvery))
	}
	if o.Quiet < 1 {
		errs = append(errs, fmt.Errorf("drift.quiet %d: want at least 1", o.Quiet))
	}
	if o.Unseen < 0 {
		errs = append(errs, fmt.Errorf("drift.unseen %v: want 0 or more", o.Unseen))
	}
	if o.Memory < 0 {
		errs = append(errs, fmt.Errorf("drift.memory %v: want 0 or more", o.Memory))
	}
	if w := o.Waiting; !(w.Refrigerant >= 0 && w.CO2e >= 0 && w.Energy >= 0) {
		errs = append(errs, fmt.Errorf("drift.waiting %v: want 0 or more", w))
	}
	return errors.Join(errs...)
}

// Key is the options in canonical text, for fingerprints.
func (o Options) Key() string {
	o.EnsureDefaults()
	return fmt.Sprintf("%g %g %d %v %v %d %v %v %v", o.Significance, o.Confidence, o.MinVisits, o.MinSpan, o.DecideEvery, o.Quiet, o.Memory, o.Unseen, o.Waiting)
}

// A feature is a column of visits that is watched.
type feature struct {
	column string // in visits
	words  string // for sentences
	of     func(*table.Visit) float64
	doubt  func(*table.Visit) float64 // its standard uncertainty
	// coolSide tells that the feature belongs to the low-pressure side, which
	// follows the room or return temperature as well.
	coolSide bool
}

// The columns of the features.
const (
	Subcooling         = "subcooling_k"
	Superheat          = "superheat_k"
	CondenserTD        = "condenser_td_k"
	EvaporatorTD       = "evaporator_td_k"
	DischargeSuperheat = "discharge_superheat_k"
)

// Where a feature stands among features, and in the values and doubts of a point.
const (
	atSubcooling = iota
	atSuperheat
	atCondenser
	atEvaporator
	atDischarge
)

// features lists what is watched, in the order of the trends table and of the places above.
func features() []feature {
	return []feature{
		{Subcooling, "subcooling", func(v *table.Visit) float64 { return v.Subcooling }, func(v *table.Visit) float64 { return v.SubcoolingU }, false},
		{Superheat, "superheat", func(v *table.Visit) float64 { return v.Superheat }, func(v *table.Visit) float64 { return v.SuperheatU }, true},
		{CondenserTD, "condenser temperature difference", func(v *table.Visit) float64 { return v.CondenserTD }, func(v *table.Visit) float64 { return v.CondenserTDU }, false},
		{EvaporatorTD, "evaporator temperature difference", func(v *table.Visit) float64 { return v.EvaporatorTD }, func(v *table.Visit) float64 { return v.EvaporatorTDU }, true},
		{DischargeSuperheat, "discharge superheat", func(v *table.Visit) float64 { return v.DischargeSuperheat }, func(v *table.Visit) float64 { return v.DischargeU }, false},
	}
}

// Words names a feature in a sentence, by its column in visits.
func Words(column string) string {
	for _, f := range features() {
		if f.column == column {
			return f.words
		}
	}
	switch column {
	case Level:
		return "receiver level"
	case Standstill:
		return "standstill pressure over saturation"
	}
	return column
}
