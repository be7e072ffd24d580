package score

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
)

// A Cause is whether findings name what is there.
type Cause struct {
	Right   Share `json:"right"` // of the findings raised where something is wrong
	Wrong   Share `json:"wrong"`
	Unclear Share `json:"unclear"`
	// Matrix counts findings by what was true (rows) and what they name (columns);
	// faults that came to count without any finding stand under "no finding".
	Matrix map[string]map[string]int `json:"matrix"`
	Brier  Number                    `json:"brier"`  // of the probability of the cause; absent where none is given
	Tenths []Tenth                   `json:"tenths"` // by that probability; those without a finding are left out
	Two    Two                       `json:"two_at_once"`
}

// A Tenth is the findings whose cause was given a probability within a tenth.
type Tenth struct {
	From  Number `json:"from"` // up to 0.1 more
	Mean  Number `json:"mean"` // probability
	Right Share  `json:"right"`
}

// Two is how findings fare where two faults are there, both large enough to count.
type Two struct {
	BothNamed Share `json:"both_named"` // of the findings that name causes, those whose first two are both there
	Wrong     Share `json:"wrong"`      // those that name first what is not there
}

// Rows and columns of the matrix besides faults.
const (
	nothing   = "nothing"
	unclear   = "unclear"
	noFinding = "no finding"
)

func (f fleet) cause(alarms []alarm) Cause {
	c := Cause{Matrix: map[string]map[string]int{}}
	var right, wrong, unsure, n int
	var probability, happened []float64
	for _, a := range alarms {
		s := f.find(a.system)
		there := s.there(a)
		c.count(there, a)
		probability = append(probability, a.probability)
		happened = append(happened, flag(a.means(truth.Fault(there))))
		switch {
		case there == nothing:
			continue
		case a.fault == "":
			unsure++
		case there == string(a.fault):
			right++
		default:
			wrong++
		}
		n++
	}
	c.Right, c.Wrong, c.Unclear = share(right, n), share(wrong, n), share(unsure, n)
	f.missed(alarms, &c)
	c.trust(probability, happened)
	c.Two = f.two(alarms)
	return c
}

// two looks at findings raised where two faults or more are there.
func (f fleet) two(alarms []alarm) Two {
	var both, wrong, n int
	for _, a := range alarms {
		there := f.find(a.system).large(a.raised)
		if len(there) < 2 || len(a.causes) == 0 {
			continue
		}
		n++
		is := func(fault truth.Fault) bool { return slices.Contains(there, fault) }
		if len(a.causes) > 1 && is(a.causes[0]) && is(a.causes[1]) {
			both++
		}
		if a.causes[0] != "" && !is(a.causes[0]) {
			wrong++
		}
	}
	return Two{share(both, n), share(wrong, n)}
}

// large are the faults that are there and count.
func (s *subject) large(t time.Time) (list []truth.Fault) {
	if s.courses[s.courseAt(t)].loss(s.System, t) >= leakingFrom {
		list = append(list, truth.Leak)
	}
	for _, k := range troubles {
		if s.Fault(k.fault, t) >= k.counts {
			list = append(list, k.fault)
		}
	}
	return list
}

func (c *Cause) count(is string, a alarm) {
	column := string(a.fault)
	if column == "" {
		column = unclear
	}
	c.put(is, column)
}

func (c *Cause) put(row, column string) {
	if c.Matrix[row] == nil {
		c.Matrix[row] = map[string]int{}
	}
	c.Matrix[row][column]++
}

// there is what is wrong on the day of an alarm: the fault it means if that is there,
// else the one that is largest against the size at which it counts.
func (s *subject) there(a alarm) string {
	c := s.courses[s.courseAt(a.raised)]
	loss := c.loss(s.System, a.raised)
	is, most := nothing, 0.0
	consider := func(fault truth.Fault, size, none, counts float64) {
		if size < none {
			return
		}
		if a.means(fault) {
			is, most = string(fault), math.Inf(1)
		} else if weight := size / counts; weight > most {
			is, most = string(fault), weight
		}
	}
	consider(truth.Leak, loss, falseBelow, leakingFrom)
	for _, k := range troubles {
		consider(k.fault, s.Fault(k.fault, a.raised), k.none, k.counts)
	}
	return is
}

// missed counts the faults that came to count without a finding of any kind.
func (f fleet) missed(alarms []alarm, c *Cause) {
	for _, s := range f.subjects {
		for _, k := range troubles {
			if when, ok := s.counted(k); ok && !alarmed(alarms, s.ID, when) {
				c.put(string(k.fault), noFinding)
			}
		}
		if leak, ok := s.passed(leakingFrom); ok && !alarmed(alarms, s.ID, span{leak.from, leak.to}) {
			c.put(string(truth.Leak), noFinding)
		}
	}
}

// alarmed tells whether a system had an alarm of any kind in a span.
func alarmed(alarms []alarm, system string, s span) bool {
	for _, a := range alarms {
		if a.system == system && a.on(s.from, s.to) {
			return true
		}
	}
	return false
}

// trust scores the probabilities of causes, where they are given.
func (c *Cause) trust(probability, happened []float64) {
	c.Brier, c.Tenths = absent, []Tenth{}
	score, err := robust.Brier(probability, happened)
	if err != nil {
		return
	}
	c.Brier = Number(score)
	for tenth := range 10 {
		var hits int
		var given []float64
		for i, p := range probability {
			if int(math.Min(9, math.Floor(10*p))) == tenth && !math.IsNaN(p) {
				given = append(given, p)
				hits += int(happened[i])
			}
		}
		if n := len(given); n > 0 {
			c.Tenths = append(c.Tenths, Tenth{Number(float64(tenth) / 10), mean(given), share(hits, n)})
		}
	}
}

func flag(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
