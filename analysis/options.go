package analysis

import (
	"errors"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/steady"
)

// A Duration is written as text in the options file: "5m", "4h", "1440h".
type Duration time.Duration

// UnmarshalText reads a duration as Go writes it.
func (d *Duration) UnmarshalText(text []byte) error {
	v, err := time.ParseDuration(string(text))
	*d = Duration(v)
	return err
}

// MarshalText writes the duration as Go does.
func (d Duration) MarshalText() ([]byte, error) { return []byte(time.Duration(d).String()), nil }

// Options steer the analysis: its section of the options file. A field that is
// missing or zero stands for its default.
type Options struct {
	Steady SteadyOptions `json:"steady"`
	Drift  DriftOptions  `json:"drift"`
}

// SteadyOptions are the options of package steady as they stand in the file.
type SteadyOptions struct {
	Window       Duration `json:"window"`        // default 5m
	Shortest     Duration `json:"shortest"`      // default 3m
	Settle       Duration `json:"settle"`        // default 5m
	AfterDefrost Duration `json:"after_defrost"` // default 15m
	AfterEvent   Duration `json:"after_event"`   // default 15m
	Resample     Duration `json:"resample"`      // default 10s
	VisitGap     Duration `json:"visit_gap"`     // default 4h
	Periods      int      `json:"periods"`       // default 3
}

// DriftOptions are the options of package drift as they stand in the file.
type DriftOptions struct {
	Significance float64  `json:"significance"` // default 0.002
	Confidence   float64  `json:"confidence"`   // default 0.95
	MinVisits    int      `json:"min_visits"`   // default 6
	MinSpan      Duration `json:"min_span"`     // default 1440h, 60 days
	DecideEvery  Duration `json:"decide_every"` // default 168h, a week
	Quiet        int      `json:"quiet"`        // default 3
}

// Validate returns everything that is wrong with the options.
func (o Options) Validate() error {
	return errors.Join(o.steady().Validate(), o.drift().Validate())
}

func (o Options) steady() steady.Options {
	s := o.Steady
	return steady.Options{
		Window: time.Duration(s.Window), Shortest: time.Duration(s.Shortest), Settle: time.Duration(s.Settle),
		AfterDefrost: time.Duration(s.AfterDefrost), AfterEvent: time.Duration(s.AfterEvent),
		Resample: time.Duration(s.Resample), VisitGap: time.Duration(s.VisitGap), Periods: s.Periods,
	}
}

func (o Options) drift() drift.Options {
	d := o.Drift
	return drift.Options{
		Significance: d.Significance, Confidence: d.Confidence, MinVisits: d.MinVisits,
		MinSpan: time.Duration(d.MinSpan), DecideEvery: time.Duration(d.DecideEvery), Quiet: d.Quiet,
	}
}
