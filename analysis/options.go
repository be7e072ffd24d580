package analysis

import (
	"errors"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
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

// MarshalText writes the duration as Go does, without the zeros at its end.
func (d Duration) MarshalText() ([]byte, error) {
	s := time.Duration(d).String()
	if strings.HasSuffix(s, "m0s") {
		s = strings.TrimSuffix(s, "0s")
	}
	if strings.HasSuffix(s, "h0m") {
		s = strings.TrimSuffix(s, "0m")
	}
	return []byte(s), nil
}

// Options steer the analysis: its section of the options file. A field that is
// missing or zero stands for its default.
type Options struct {
	Steady  SteadyOptions   `json:"steady"`
	Drift   DriftOptions    `json:"drift"`
	Energy  EnergyOptions   `json:"energy"`
	Records records.Options `json:"records"`
}

// SteadyOptions are the options of package steady as they stand in the file.
type SteadyOptions struct {
	Window       Duration `json:"window" doc:"length of a window that is judged"`
	Shortest     Duration `json:"shortest" doc:"a steady stretch at least this long gives one provisional window, shown only"`
	Settle       Duration `json:"settle" doc:"left out after the compressor started"`
	AfterDefrost Duration `json:"after_defrost" doc:"left out after a defrost"`
	AfterEvent   Duration `json:"after_event" doc:"left out after a service act whose time is known"`
	Resample     Duration `json:"resample" doc:"samples are averaged to at least this spacing"`
	VisitGap     Duration `json:"visit_gap" doc:"samples further apart belong to different visits; at most 24h"`
	Periods      int      `json:"periods" doc:"whole hunting periods that a window of an oscillating plant must hold"`
	FixedLimits  bool     `json:"fixed_limits" doc:"do not learn from a permanent log's day before, or from the visits before, how much the machine scatters at rest"`

	Limits steady.Limits `json:"limits"`
}

// DriftOptions are the options of package drift as they stand in the file.
type DriftOptions struct {
	Significance float64  `json:"significance" doc:"chance of such a trend in noise below which it counts; lower means fewer false findings, and later ones"`
	Confidence   float64  `json:"confidence" doc:"confidence of intervals"`
	MinVisits    int      `json:"min_visits" doc:"visits that a trend needs"`
	MinSpan      Duration `json:"min_span" doc:"time that a trend needs from its first to its last visit"`
	DecideEvery  Duration `json:"decide_every" doc:"how far apart decisions are at least; visits in between are pooled"`
	Quiet        int      `json:"quiet" doc:"decisions within noise in a row that close a finding"`
	Memory       Duration `json:"memory" doc:"how long it counts that somebody who was sent found nothing or another cause: until then a finding opens again only if it moves on"`
	Unseen       Duration `json:"unseen" doc:"how long a system may be without a usable visit before it is listed"`
	Refrigerant  float64  `json:"waiting_refrigerant" doc:"what a kilogram of refrigerant that escapes costs, for the order of findings; with all three 0 they are ordered by how soon they matter"`
	CO2e         float64  `json:"waiting_co2e" doc:"what a tonne of CO2 equivalent costs, for the order of findings"`
	Energy       float64  `json:"waiting_energy" doc:"what one percent of a machine's electricity over a quarter of a year costs, for the order of findings"`
}

// DefaultOptions returns the options with every field at its default.
func DefaultOptions() Options {
	var s steady.Options
	var d drift.Options
	s.EnsureDefaults()
	d.EnsureDefaults()
	return Options{
		Steady: SteadyOptions{
			Window: Duration(s.Window), Shortest: Duration(s.Shortest), Settle: Duration(s.Settle),
			AfterDefrost: Duration(s.AfterDefrost), AfterEvent: Duration(s.AfterEvent),
			Resample: Duration(s.Resample), VisitGap: Duration(s.VisitGap), Periods: s.Periods, FixedLimits: s.FixedLimits, Limits: s.Limits,
		},
		Drift: DriftOptions{
			Significance: d.Significance, Confidence: d.Confidence, MinVisits: d.MinVisits,
			MinSpan: Duration(d.MinSpan), DecideEvery: Duration(d.DecideEvery), Quiet: d.Quiet, Memory: Duration(d.Memory), Unseen: Duration(d.Unseen),
		},
		Energy:  defaultEnergy(),
		Records: records.DefaultOptions(),
	}
}

// Validate returns everything that is wrong with the options.
func (o Options) Validate() error {
	return errors.Join(o.steady().Validate(), o.drift().Validate(), o.energy().Validate(), o.Records.Validate())
}

func (o Options) steady() steady.Options {
	s := o.Steady
	return steady.Options{
		Window: time.Duration(s.Window), Shortest: time.Duration(s.Shortest), Settle: time.Duration(s.Settle),
		AfterDefrost: time.Duration(s.AfterDefrost), AfterEvent: time.Duration(s.AfterEvent),
		Resample: time.Duration(s.Resample), VisitGap: time.Duration(s.VisitGap), Periods: s.Periods, FixedLimits: s.FixedLimits, Limits: s.Limits,
	}
}

func (o Options) drift() drift.Options {
	d := o.Drift
	return drift.Options{
		Significance: d.Significance, Confidence: d.Confidence, MinVisits: d.MinVisits,
		MinSpan: time.Duration(d.MinSpan), DecideEvery: time.Duration(d.DecideEvery), Quiet: d.Quiet, Memory: time.Duration(d.Memory), Unseen: time.Duration(d.Unseen),
		Waiting: drift.Weights{Refrigerant: d.Refrigerant, CO2e: d.CO2e, Energy: d.Energy},
	}
}
