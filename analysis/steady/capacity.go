package steady

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
)

// exponent is (k-1)/k of a usual isentropic exponent of refrigerants, 1.15.
const exponent = (1.15 - 1) / 1.15

// capacityOf is what counts the capacity at each sample that may be judged: the speed, or
// else the power over what compressing the suction gas between the pressures takes,
// W ~ p1 ((p2/p1)^e - 1) (isentropic compression of an ideal gas), or else the power; nil
// where there is none.
func capacityOf(c *cycle.Columns, states []state) []float64 {
	if c.Has(cycle.Speed) {
		return c.Values[cycle.Speed]
	}
	if !c.Has(cycle.Power) || !c.Has(cycle.SuctionPressure) || !c.Has(cycle.PressureRatio) {
		return c.Values[cycle.Power]
	}
	power, suction, ratio := c.Values[cycle.Power], c.Values[cycle.SuctionPressure], c.Values[cycle.PressureRatio]
	out := make([]float64, c.Rows())
	for i, s := range states {
		if s == running {
			out[i] = power[i] / (suction[i] * (math.Pow(ratio[i], exponent) - 1))
		}
	}
	return out
}

// A step of capacity: how far it goes at once, how even it is on both sides, and over
// which time that is looked at.
const (
	leastCapacityStep = 0.15
	mostUneven        = 0.04
	longestStep       = 4 // minutes that pressures and power take to follow
	capacityBin       = time.Minute
)

// stages cuts a running stretch where its capacity steps.
func (p phase) stages(c *cycle.Columns, capacity []float64) (out []phase) {
	p.capacity = math.NaN()
	if p.state != running || capacity == nil {
		return []phase{p}
	}
	rest := p
	for _, at := range p.steps(c, capacity) {
		part := rest
		part.to, rest.from = at, at
		part.capacity = meanIn(capacity, part.rows)
		out = append(out, part)
	}
	rest.capacity = meanIn(capacity, rest.rows)
	return append(out, rest)
}

// steps are the rows at which capacity has stepped to another level.
func (p phase) steps(c *cycle.Columns, capacity []float64) (at []int) {
	per := max(1, int(capacityBin.Microseconds()/max(p.dt, 1)))
	x := make([]float64, 0, (p.to-p.from)/per+1)
	for i := p.from; i+per <= p.to; i += per {
		x = append(x, meanIn(capacity, rows{i, i + per}))
	}
	for k := 2; k < len(x)-1; k++ {
		end, ok := stepAt(x, k)
		if !ok {
			continue
		}
		before, after := (x[k-1]+x[k-2])/2, (x[end]+x[end+1])/2
		row := p.from + k*per
		for row < p.from+end*per && math.Abs(capacity[row]-before) < math.Abs(capacity[row]-after) {
			row++
		}
		at = append(at, row)
		k = end + 1
	}
	return at
}

// stepAt tells whether capacity steps from the k-th value on, and with which value it has
// arrived.
func stepAt(x []float64, k int) (end int, ok bool) {
	for end = k; end <= k+longestStep && end < len(x)-1; end++ {
		before, after := (x[k-1]+x[k-2])/2, (x[end]+x[end+1])/2
		even := math.Max(math.Abs(x[k-1]/x[k-2]-1), math.Abs(x[end+1]/x[end]-1))
		if even < mostUneven && math.Abs(after/before-1) >= leastCapacityStep {
			return end, true
		}
	}
	return 0, false
}
