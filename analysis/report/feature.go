package report

import (
	"math"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// A feature is a quantity of a visit whose slow change means something.
type feature struct {
	column string // in visits and trends
	name   say.Text
	value  func(*table.Visit) (value, u float64) // with half of what its 95 % interval reaches to each side
	repeat func(*table.Visit) float64            // standard uncertainty between visits with the same instruments; nil where there is none
}

// features in the order in which they say most about charge and heat exchangers.
var features = []feature{
	{"subcooling_k", "Subcooling", func(v *table.Visit) (float64, float64) { return v.Subcooling, stated(v.SubcoolingU, v.SubcoolingHalf) },
		func(v *table.Visit) float64 { return v.SubcoolingRepeatU }},
	{"superheat_k", "Superheat", func(v *table.Visit) (float64, float64) { return v.Superheat, stated(v.SuperheatU, v.SuperheatHalf) },
		func(v *table.Visit) float64 { return v.SuperheatRepeatU }},
	{"discharge_superheat_k", "Discharge superheat", func(v *table.Visit) (float64, float64) { return v.DischargeSuperheat, v.DischargeU }, nil},
	{"condenser_td_k", "Condenser temperature difference", func(v *table.Visit) (float64, float64) { return v.CondenserTD, v.CondenserTDU }, nil},
	{"evaporator_td_k", "Evaporator temperature difference", func(v *table.Visit) (float64, float64) { return v.EvaporatorTD, v.EvaporatorTDU }, nil},
}

// stated is half of what a 95 % interval reaches to each side, as the dataset states it: pages
// write twice that. It is the standard uncertainty where the dataset states none.
func stated(u, half float64) float64 {
	if half > 0 {
		return half / 2
	}
	return u
}

// featureName is a feature in words; a column that no feature has, as it is.
func featureName(l say.Locale, column string) string {
	for _, f := range features {
		if f.column == column {
			return l.Text(f.name)
		}
	}
	if column == drift.Level {
		return l.Text("Receiver level")
	}
	return strings.ReplaceAll(column, "_", " ")
}

// A measure is what changes of a feature are written in.
type measure struct {
	of     say.Quantity
	digits int
}

// measured is a feature's measure, by its column.
func measured(column string) measure {
	if column == drift.Level {
		return measure{say.Share, 0}
	}
	return measure{say.Difference, 1}
}

// change writes a change with its sign and unit.
func (m measure) change(l say.Locale, v float64) string { return l.Change(m.of, v, m.digits) }

// between writes the interval of a change, without its unit.
func (m measure) between(l say.Locale, lo, hi float64) string {
	return l.ChangeBetween(m.of, lo, hi, m.digits, "")
}

// seen are the features that some visit has a value of.
func (s System) seen() (out []feature) {
	visits := s.asJudged()
	for _, f := range features {
		for i := range visits {
			if value, _ := f.value(&visits[i]); !math.IsNaN(value) {
				out = append(out, f)
				break
			}
		}
	}
	return out
}

// leading is the feature that stands for the system: the one that carries its most
// urgent finding, else the first that could be judged, else the first that was seen.
func (s System) leading() (feature, bool) {
	seen := s.seen()
	latest := s.latest()
	pick := func(want func(feature) bool) (feature, bool) {
		for _, f := range seen {
			if want(f) {
				return f, true
			}
		}
		return feature{}, false
	}
	if open := s.open(); len(open) > 0 {
		if f, ok := pick(func(f feature) bool { return f.column == open[0].Feature }); ok {
			return f, true
		}
	}
	if f, ok := pick(func(f feature) bool { t, ok := latest[f.column]; return ok && judged(t) }); ok {
		return f, true
	}
	return pick(func(feature) bool { return true })
}

// judged tells whether a trend has a verdict.
func judged(t table.Trend) bool {
	return t.Verdict == drift.Falling || t.Verdict == drift.Rising || t.Verdict == drift.Noise
}
