package score

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// A rival is a naive way to watch subcooling: raw, one value per visit, season and
// instruments unseen.
type rival struct {
	name string
	// evidence of a loss after each look, from the values up to it only: the more the
	// larger; NaN where nothing is said yet.
	evidence func(values []float64) []float64
	// limits between which it is tuned: evidence above the limit is an alarm.
	least, most, step float64
}

// rivals lists them. Their formulas are those of textbooks; see each.
func rivals() []rival {
	return []rival{
		{"fixed limit on subcooling", lowSubcooling, -8, 5, 0.25},
		{"Mann-Kendall on raw subcooling", fallingRank, 0.5, 12, 0.25},
		{"season-blind EWMA", fallingEWMA, 0.5, 40, 0.25},
	}
}

// lowSubcooling is how far subcooling lies below 0 K: the limit is one of subcooling,
// with its sign turned.
func lowSubcooling(y []float64) []float64 {
	out := make([]float64, len(y))
	for i, v := range y {
		out[i] = -v
	}
	return out
}

// fallingRank is -log10 of the chance of such a fall in noise, by the Mann-Kendall
// test over all values so far; 0 where they rise.
func fallingRank(y []float64) []float64 {
	out := make([]float64, len(y))
	for i := range y {
		out[i] = math.NaN()
		if r, err := robust.MannKendall(y[:i+1]); err == nil {
			out[i] = 0
			if r.S < 0 {
				out[i] = -math.Log10(math.Max(r.P, 1e-300))
			}
		}
	}
	return out
}

// An EWMA chart as Roberts, Technometrics 1 (1959) 239, has it: weight 0.2, limits
// that widen with the number of values; its middle and spread come from the first
// values.
const (
	ewmaWeight = 0.2
	ewmaFirst  = 8
)

// fallingEWMA is how many standard deviations of its own the average lies below the
// mean of the first values.
func fallingEWMA(y []float64) []float64 {
	out := make([]float64, len(y))
	for i := range out {
		out[i] = math.NaN()
	}
	if len(y) <= ewmaFirst {
		return out
	}
	middle, sd, _, err := robust.Mean(y[:ewmaFirst])
	if err != nil || !(sd > 0) {
		return out
	}
	average, width := ewma(y[ewmaFirst:], middle, sd)
	for i := range average {
		out[ewmaFirst+i] = -average[i] / width[i]
	}
	return out
}

// ewma is the weighted average of values in standard deviations from the middle, with
// its own standard deviation.
func ewma(y []float64, middle, sd float64) (average, width []float64) {
	var a float64
	for i, v := range y {
		a += ewmaWeight * ((v-middle)/sd - a)
		left := math.Pow(1-ewmaWeight, 2*float64(i+1))
		average, width = append(average, a), append(width, math.Sqrt(ewmaWeight/(2-ewmaWeight)*(1-left)))
	}
	return average, width
}

// betweenLooks is how far apart the values are at least that a rival looks at: the
// days of a permanent logger would alarm all the time.
const betweenLooks = 7 * 24 * time.Hour

// leastBelieved is the subcooling below which even a naive reader sees that the log is
// wrong, K: such visits are none for a rival. Below -1 K for long is an error in the
// trade's list (D27); the margin is ours.
const leastBelieved = -5

// judged tells whether a rival looks at a visit: one that may be used for trends, with
// what was found before anybody worked on the system.
func judged(v table.Visit) bool {
	return v.Use == table.UseTrend && v.Part != table.AsLeft && v.Subcooling >= leastBelieved
}

// A course of evidence is a system's evidence look by look.
type evidenceCourse struct {
	system   string
	at       []time.Time
	evidence []float64
}

// watch lets a rival look at every system.
func (f fleet) watch(r rival) (list []evidenceCourse) {
	for _, s := range f.subjects {
		c := evidenceCourse{system: s.ID}
		var values []float64
		for _, v := range s.looks {
			if n := len(c.at); n == 0 || v.at.Sub(c.at[n-1]) >= betweenLooks {
				c.at, values = append(c.at, v.at), append(values, v.subcooling)
			}
		}
		c.evidence = r.evidence(values)
		list = append(list, c)
	}
	return list
}

// alarms are those at a limit. An alarm stands while the evidence is above it.
func (c evidenceCourse) alarms(limit float64) (list []alarm) {
	on := false
	for i, e := range c.evidence {
		switch over := e > limit; {
		case over && !on:
			list = append(list, alarm{system: c.system, fault: truth.Leak, raised: c.at[i], probability: math.NaN(), lost: none, rate: none})
			on = true
		case !over && on:
			list[len(list)-1].cleared = c.at[i]
			on = false
		}
	}
	return list
}

// strongest is the most evidence of each system; -Inf where nothing was ever said.
func strongest(list []evidenceCourse) map[string]float64 {
	out := map[string]float64{}
	for _, c := range list {
		most := -math.MaxFloat64
		for _, e := range c.evidence {
			if e > most {
				most = e
			}
		}
		out[c.system] = most
	}
	return out
}

// A Tuning is what rivals did on fleets of their own seeds: false alarms by limit.
// mkrivals.go makes it.
type Tuning struct {
	Seeds       []uint64           `json:"seeds"`
	Systems     int                `json:"systems"` // of each fleet
	Years       float64            `json:"years"`
	Version     int                `json:"simulator_version"`
	SystemYears float64            `json:"system_years"` // of all fleets, watched
	FalseAlarms map[string][]Limit `json:"false_alarms"` // by rival, from the least limit on
}

// A Limit is how many false alarms a limit gave.
type Limit struct {
	Limit float64 `json:"limit"`
	Count int     `json:"count"`
}

//go:generate go run mkrivals.go
//go:embed rivals.json
var rivalsJSON []byte

// tuned reads the tuning that is committed with the package.
func tuned() (Tuning, error) {
	var t Tuning
	if err := json.Unmarshal(rivalsJSON, &t); err != nil {
		return t, fmt.Errorf("rivals.json: %w", err)
	}
	return t, nil
}

// Tune counts the false alarms of every rival on fleets at every limit.
func Tune(fleets ...Input) (Tuning, error) {
	t := Tuning{FalseAlarms: map[string][]Limit{}}
	for _, r := range rivals() {
		for limit := r.least; limit <= r.most; limit += r.step {
			t.FalseAlarms[r.name] = append(t.FalseAlarms[r.name], Limit{Limit: limit})
		}
	}
	for _, in := range fleets {
		in.Findings = nil
		f, err := newFleet(in)
		if err != nil {
			return t, err
		}
		t.SystemYears += f.years()
		for _, r := range rivals() {
			watched := f.watch(r)
			for i, l := range t.FalseAlarms[r.name] {
				t.FalseAlarms[r.name][i].Count += f.falseAlarms(alarmsAt(watched, l.Limit))
			}
		}
	}
	return t, nil
}

func alarmsAt(watched []evidenceCourse, limit float64) (list []alarm) {
	for _, c := range watched {
		list = append(list, c.alarms(limit)...)
	}
	inOrder(list)
	return list
}

func (f fleet) falseAlarms(alarms []alarm) (n int) {
	for _, s := range f.subjects {
		n += len(s.grouped(of(alarms, s.ID, truth.Leak)).wrong)
	}
	return n
}

// limit is the least strict limit of a rival that gave no more false alarms in 100
// system-years than asked for, with what it gave; the strictest where none is so good.
func (t Tuning) limit(name string, per100 float64) (limit, gave float64) {
	list := t.FalseAlarms[name]
	limit, gave = math.NaN(), math.NaN()
	for i := len(list) - 1; i >= 0; i-- {
		r := 100 * float64(list[i].Count) / t.SystemYears
		if r > per100 && i < len(list)-1 {
			break
		}
		limit, gave = list[i].Limit, r
	}
	return limit, gave
}

// A Rival is how well a rival does at the analysis's rate of false alarms.
type Rival struct {
	Limit     Number `json:"limit"`      // evidence above which it alarms
	TunedRate Number `json:"tuned_rate"` // false alarms in 100 system-years at that limit on the fleets it was tuned on
	Detection
}

// leastRate of false alarms in 100 system-years that rivals are tuned to: fleets of
// some dozen systems cannot tell fewer from none, and to ask for none at all would
// silence the rivals.
const leastRate = 1.0

// allowed is the rate of false alarms in 100 system-years that rivals and the oracle may have.
func allowed(per100 Number) float64 {
	if math.IsNaN(float64(per100)) {
		return leastRate
	}
	return math.Max(leastRate, float64(per100))
}

// rivals scores the rivals, each tuned to a rate of false alarms in 100 system-years.
func (f fleet) rivals(per100 Number) (map[string]Rival, error) {
	t, err := tuned()
	if err != nil {
		return nil, err
	}
	out := map[string]Rival{}
	for _, r := range rivals() {
		limit, gave := t.limit(r.name, allowed(per100))
		watched := f.watch(r)
		most := strongest(watched)
		d := f.detection(alarmsAt(watched, limit))
		d.ROCArea = f.rocArea(func(s *subject) float64 { return most[s.ID] })
		out[r.name] = Rival{Number(limit), Number(gave), d}
	}
	return out, nil
}
