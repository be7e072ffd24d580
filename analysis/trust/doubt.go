package trust

import (
	"math"
	"slices"
	"strings"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/table"
)

// A Doubt is what one rule says about a visit.
type Doubt struct {
	Rule       string   `json:"rule"`
	Channels   []string `json:"channels,omitempty"`   // samples columns it is about; empty: the whole visit
	From       int64    `json:"from,omitempty"`       // span, microseconds since 1970; 0: the whole visit
	To         int64    `json:"to,omitempty"`         // end of the span
	Evidence   string   `json:"evidence"`             // in numbers
	Remedy     string   `json:"remedy"`               // what to do, with the register's line where there is one
	Candidates []string `json:"candidates,omitempty"` // what it may be, where physics cannot tell
	Hides      bool     `json:"hides,omitempty"`      // what follows from its channels is hidden
}

// about names the channels of quantities.
func about(quantities ...cycle.Quantity) (names []string) {
	for _, q := range quantities {
		names = append(names, q.Column())
	}
	return names
}

// touches tells whether a doubt hides what follows from any of the quantities.
func (d Doubt) touches(quantities ...cycle.Quantity) bool {
	if !d.Hides {
		return false
	}
	return len(d.Channels) == 0 || slices.ContainsFunc(quantities, func(q cycle.Quantity) bool { return slices.Contains(d.Channels, q.Column()) })
}

// media are the channels of what enters condenser and evaporator.
var (
	condenserMedia  = []cycle.Quantity{cycle.OutdoorTemp, cycle.CondenserAirOn, cycle.SinkInlet}
	evaporatorMedia = []cycle.Quantity{cycle.EvaporatorAirOn, cycle.SourceInlet, cycle.RoomTemp}
)

// Hide takes out of a visit what its doubts are about, and says so: nothing that
// rests on doubtful data is compared with anything. A visit of which neither
// superheat nor subcooling is left, though it had them, is not used for trends.
func Hide(v *table.Visit, doubts []Doubt) {
	nan := math.NaN()
	had := known(v)
	var rules []string
	for _, d := range doubts {
		if !d.Hides {
			continue
		}
		if rules = append(rules, d.Rule); d.touches(cycle.SuctionPressure, cycle.SuctionTemp) {
			v.Superheat, v.SuperheatU, v.SuperheatHalf, v.SuperheatRepeatU = nan, nan, nan, nan
		}
		if d.touches(cycle.DischargePressure, cycle.LiquidPressure, cycle.LiquidTemp) {
			v.Subcooling, v.SubcoolingU, v.SubcoolingHalf, v.SubcoolingRepeatU = nan, nan, nan, nan
			v.StandstillExcess = nan
		}
		if d.touches(cycle.DischargePressure, cycle.DischargeTemp) {
			v.DischargeSuperheat, v.DischargeU = nan, nan
		}
		if d.touches(append(condenserMedia, cycle.DischargePressure)...) {
			v.CondenserTD, v.CondenserTDU = nan, nan
		}
		if d.touches(append(evaporatorMedia, cycle.SuctionPressure)...) {
			v.EvaporatorTD, v.EvaporatorTDU = nan, nan
		}
		hideRest(v, d)
	}
	slices.Sort(rules)
	v.Doubt = strings.Join(slices.Compact(rules), " ")
	if had && !known(v) && v.Use == table.UseTrend {
		v.Use, v.Reason = table.UseNone, inDoubt+named(rules)
	}
}

// inDoubt begins why a visit is not used of which nothing is left.
const inDoubt = "the data are in doubt: "

func known(v *table.Visit) bool { return !math.IsNaN(v.Superheat) || !math.IsNaN(v.Subcooling) }

func hideRest(v *table.Visit, d Doubt) {
	nan := math.NaN()
	if d.touches(cycle.SuctionPressure) {
		v.EvaporatingTemp = nan
	}
	if d.touches(cycle.DischargePressure) {
		v.CondensingTemp = nan
	}
	if d.touches(cycle.OutdoorTemp) {
		v.OutdoorTemp = nan
	}
	if d.touches(cycle.Power) {
		v.Power = nan
	}
	if d.touches(cycle.SuctionPressure, cycle.DischargePressure, cycle.SuctionTemp, cycle.DischargeTemp) {
		v.IsentropicEfficiency, v.CoolingCOP, v.HeatingCOP, v.CarnotFraction = nan, nan, nan, nan
		v.IsentropicEfficiencyU, v.CoolingCOPU, v.HeatingCOPU = nan, nan, nan
	}
}

// named lists rules by number and name.
func named(ids []string) string {
	var out []string
	for _, id := range slices.Compact(slices.Clone(ids)) {
		if r, ok := RuleOf(id); ok {
			out = append(out, r.Name+" ("+id+")")
		}
	}
	return strings.Join(out, ", ")
}
