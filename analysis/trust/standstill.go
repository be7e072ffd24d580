package trust

import (
	"fmt"
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/thermo"
)

// A side is one side of a machine at rest: a pressure and the temperature of the
// liquid it stands over.
type side struct {
	pressure  cycle.Quantity
	kpa, temp float64 // NaN where there is none
	u         float64 // standard uncertainty of saturation temperature less temperature, K
}

// excess is by how many K the pressure is too high for the temperature: the distance
// from the range between bubble and dew, since nobody knows how much is liquid.
func (s side) excess(c *cycle.Circuit, plus float64) float64 {
	dew, bubble := c.Dew(s.kpa+plus), c.Bubble(s.kpa+plus)
	switch {
	case s.temp > dew:
		return dew - s.temp
	case s.temp < bubble:
		return bubble - s.temp
	case math.IsNaN(dew + s.temp):
		return math.NaN()
	}
	return 0
}

// A rest is a machine at standstill.
type rest struct {
	l         *look
	low, high side
	minutes   float64
	air       float64 // outdoors, where that is what cools the condenser, °C; NaN unknown
	apart     float64 // by what share the high pressure is above the low one; NaN unknown
}

// Limits of a standstill. Source of 2 K and 1 K: common practice, no source.
const (
	leastRest   = 60.0  // s of it
	longestRest = 600.0 // s: the last of it are looked at
	restMoves   = 0.15  // K/min at most
	clearlyOff  = 2.0   // K
	fits        = 1.0   // K
	zeroSigmas  = 3.0   // standard uncertainties by which one pressure is off
	mostZero    = 90.0  // kPa by which a sensor loses its zero at most
)

// standstill checks the pressures against the temperatures before the first start.
func (l *look) standstill() rest {
	r := rest{l: l, air: math.NaN(), low: side{cycle.SuctionPressure, math.NaN(), math.NaN(), 0}, high: side{cycle.DischargePressure, math.NaN(), math.NaN(), 0}}
	if l.Circuit.Refrigerant == nil || l.Day {
		return r
	}
	end := l.From
	for end < l.To && !l.On[end] {
		end++
	}
	if end == l.To && l.To-l.From > 0 && l.ran == 0 && l.Columns.Has(cycle.PressureRatio) && l.pressuresApart() {
		return r // nothing says that it stood still
	}
	from := l.From
	r.minutes = float64(end-from) * l.step / 60
	if end-from < 4 || r.minutes*60 < leastRest {
		return r
	}
	r.take(max(from, end-int(longestRest/math.Max(l.step, 1))), end-1)
	r.judge()
	r.sun()
	return r
}

// pressuresApart tells whether the pressures are apart as those of a running machine.
func (l *look) pressuresApart() bool {
	apart := 0
	for i := l.From; i < l.To; i++ {
		if v := l.Columns.At(cycle.PressureRatio, i); v > 1.5 || v < 1/1.5 {
			apart++
		}
	}
	return 2*apart > l.To-l.From
}

// take reads both sides over the last rows, where they stand still.
func (r *rest) take(from, to int) {
	l := r.l
	at := func(q cycle.Quantity) float64 {
		if !l.Columns.Has(q) {
			return math.NaN()
		}
		return meanOf(l.Columns.Values[q][from:to])
	}
	still := func(q cycle.Quantity) bool { return math.Abs(l.perMinute(q, from, to)) < restMoves }
	row := cycle.NewRow()
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		row[q] = at(q)
	}
	if !l.Circuit.System.Kind.Heats() && math.IsNaN(row[cycle.CondenserAirOn]) && math.IsNaN(row[cycle.SinkInlet]) {
		r.air = row[cycle.OutdoorTemp]
	}
	r.apart = row[cycle.DischargePressure]/row[cycle.SuctionPressure] - 1
	u := l.Circuit.Uncertainty(&row, l.Limits)
	if still(cycle.Condensing) && still(cycle.LiquidTemp) {
		r.high.kpa, r.high.temp, r.high.u = row[cycle.DischargePressure], row[cycle.LiquidTemp], u[cycle.Subcooling]
	}
	if still(cycle.Evaporating) && still(cycle.SuctionTemp) {
		cold, known := row[cycle.EvaporatorMedium], !math.IsNaN(row[cycle.EvaporatorMedium])
		equal := math.Abs(row[cycle.SuctionTemp]-row[cycle.LiquidTemp]) < 1
		if known || equal {
			r.low.kpa, r.low.u = row[cycle.SuctionPressure], u[cycle.Superheat]
			r.low.temp = row[cycle.SuctionTemp]
			if known {
				r.low.temp = math.Min(cold, row[cycle.SuctionTemp])
			}
		}
	}
}

// perMinute is the slope of a quantity over rows; 0 where it is not logged.
func (l *look) perMinute(q cycle.Quantity, from, to int) float64 {
	if !l.Columns.Has(q) {
		return 0
	}
	x := l.Columns.Values[q][from:to]
	h := len(x) / 2
	a, _, _, errA := robust.Mean(x[:h])
	b, _, _, errB := robust.Mean(x[len(x)-h:])
	if errA != nil || errB != nil {
		return math.Inf(1)
	}
	return (b - a) / (float64(len(x)-h) * l.step / 60)
}

func (r rest) sides() (out []side) {
	for _, s := range []side{r.low, r.high} {
		if !math.IsNaN(s.kpa + s.temp + s.excess(r.l.Circuit, 0)) {
			out = append(out, s)
		}
	}
	return out
}

// offsets are what the pressures show too much, K, for the history.
func (r rest) offsets() map[string]float64 {
	out := map[string]float64{}
	for _, s := range r.sides() {
		out[s.pressure.String()] = s.excess(r.l.Circuit, 0)
	}
	return out
}

// AtRest is by how many K the high pressure lay above saturation before the first start; NaN
// where it says nothing. A pressure that is too low for the liquid line may be that of the
// coldest place of the circuit, as long as liquid is left anywhere; where the low side too
// is below its own temperature, none is.
func (f Facts) AtRest() float64 {
	high, ok := f.Rest[cycle.DischargePressure.String()]
	if !ok || high >= 0 {
		return knownOr(high, ok)
	}
	low, ok := f.Rest[cycle.SuctionPressure.String()]
	return knownOr(math.Max(high, low), ok && low < 0)
}

// knownOr is a value that is known; NaN where it is not.
func knownOr(v float64, known bool) float64 {
	if !known {
		return math.NaN()
	}
	return v
}

// stills are the sides that can be judged, by pressure, and the air outdoors beside a condenser
// that holds liquid.
func (r rest) stills() map[string]Still {
	out, c, limit := map[string]Still{}, r.l.Circuit, r.l.Limits.Limit
	for _, s := range r.sides() {
		out[s.pressure.String()] = Still{KPa: s.kpa, Temp: s.temp, Over: c.Dew(s.kpa) - s.temp, U: s.u, Glide: glideAt(c, s.kpa)}
	}
	if over := r.airOver(); !math.IsNaN(over) && !math.IsNaN(r.high.u) {
		out[cycle.OutdoorTemp.String()] = Still{Temp: r.air, Over: over, U: math.Hypot(limit[cycle.OutdoorTemp], limit[cycle.LiquidTemp]) / 2}
	}
	return out
}

// glideAt is the distance from bubble to dew temperature at a pressure, K; zero where it is not known.
func glideAt(c *cycle.Circuit, pressure float64) float64 {
	return math.Max(0, robust.OrZero(c.Dew(pressure)-c.Bubble(pressure)))
}

// airOver is by how much the outdoor air reads above the refrigerant in the condenser, less what
// pipes that lead to a room may take of it on a warm day.
func (r rest) airOver() float64 { return r.air - r.high.temp - math.Max(0, (r.air-roomAir)/2) }

// worst is the largest misfit of the sides, K, with a pressure added.
func worst(c *cycle.Circuit, sides []side, plus float64) float64 {
	var most float64
	for _, s := range sides {
		x := math.Abs(s.excess(c, plus))
		if math.IsNaN(x) {
			return math.Inf(1)
		}
		most = math.Max(most, x)
	}
	return most
}

// judge tries what could make pressures and temperatures belong together.
func (r rest) judge() {
	l, sides := r.l, r.sides()
	if len(sides) == 0 || l.suspect("D2") {
		return
	}
	off := 0.0
	for _, s := range sides {
		off = math.Max(off, math.Abs(s.excess(l.Circuit, 0))-math.Max(clearlyOff, sigmas*s.u))
	}
	if off <= 0 {
		return
	}
	for _, sign := range []int{1, -1} {
		if r.equal(sides) && r.allOff(sides) && worst(l.Circuit, sides, float64(sign)*l.air()) < fits {
			l.mixedReference(r.text(sides), sign)
			l.doubts[len(l.doubts)-1].Candidates = r.refrigerants(sides)
			return
		}
	}
	if len(sides) == 2 && r.oneSide(sides) {
		return
	}
	candidates := r.refrigerants(sides)
	if l.Columns.Has(cycle.DischargePressure) && r.high.excess(l.Circuit, 0) > clearlyOff {
		candidates = append(candidates, "non-condensable gas")
	}
	if len(candidates) == 0 || !slices.ContainsFunc(candidates, func(c string) bool { return c != "non-condensable gas" }) {
		return
	}
	l.doubt(Doubt{
		Rule: "D1", Channels: about(cycle.SuctionPressure, cycle.DischargePressure), Candidates: candidates,
		Evidence: r.text(sides), Remedy: fmt.Sprintf("look at the nameplate; the refrigerant stands in the line of %s of register/systems.csv", l.Circuit.System.ID),
	})
}

// How far the outdoor air may read above the refrigerant of an outdoor condenser at rest:
// some kelvin, and on warm days half of what it is above a room's 22 °C, to which the pipes
// lead. Engineering choice, no source.
const (
	leastSunny = 4.5  // K
	roomAir    = 22.0 // °C
)

// sun looks for an outdoor probe that reads far warmer than the condenser at rest, whose
// liquid is as warm as its pressure says.
func (r rest) sun() {
	l, cool := r.l, r.high.temp
	if !(r.airOver() > leastSunny) || math.Abs(r.high.excess(l.Circuit, 0)) > fits || l.doubted(cycle.LiquidTemp) || l.doubted(cycle.DischargePressure) {
		return
	}
	l.doubt(Doubt{
		Rule: "D29", Channels: about(condenserMedia[:]...), Hides: true,
		Evidence: fmt.Sprintf("at rest for %.0f minutes the outdoor air reads %.1f °C, and the refrigerant in the condenser is at %.1f °C by its pressure and its liquid", r.minutes, r.air, cool),
		Remedy:   "shade the outdoor probe and keep it out of the condenser's own warm air",
	})
}

// leastEqual is within what share of each other the pressures of a machine at rest are
// equal.
const leastEqual = 0.03

// equal tells whether both pressures say the same: foreign gas in the condenser, too,
// raises one of them.
func (r rest) equal(sides []side) bool {
	return len(sides) == 2 || math.Abs(r.apart) < leastEqual
}

// allOff tells whether every side is off: where one of them is not, no air is missing.
func (r rest) allOff(sides []side) bool {
	return !slices.ContainsFunc(sides, func(s side) bool { return math.Abs(s.excess(r.l.Circuit, 0)) < fits })
}

// oneSide says that one pressure is off and the other is not.
func (r rest) oneSide(sides []side) bool {
	c := r.l.Circuit
	a, b := sides[0].excess(c, 0), sides[1].excess(c, 0)
	bad, good, x := sides[0], sides[1], a
	if math.Abs(b) > math.Abs(a) {
		bad, good, x = sides[1], sides[0], b
	}
	if math.Abs(good.excess(c, 0)) > fits || math.Abs(x) < math.Max(clearlyOff, zeroSigmas*bad.u) {
		return false
	}
	if x < 0 {
		return false // pumped down, its low side holds gas alone; the high side has the pressure of its coldest place
	}
	want, err := c.Refrigerant.DewP(thermo.FromCelsius(bad.temp))
	if err != nil {
		return false
	}
	if math.Abs(bad.kpa-float64(want)/1000) > mostZero {
		return false
	}
	q := bad.pressure
	r.l.doubt(Doubt{
		Rule: "D30", Channels: about(q), Hides: true,
		Evidence: fmt.Sprintf("%s; it would fit with %.0f kPa less", r.text(sides), bad.kpa-float64(want)/1000),
		Remedy: fmt.Sprintf("compare the sensor with the air and zero it; then write its offset into register/instruments.csv: %s",
			register.InstrumentLine(offsetOf(r.l.Limits.SerialOf(q), bad.kpa-float64(want)/1000))),
	})
	return true
}

// offsetOf is the row of an instrument that shows so many kPa too much.
func offsetOf(serial string, kpa float64) register.Instrument {
	i := register.NewInstrument(serial)
	i.Kind, i.Unit, i.Offset = register.PressureInstrument, "kPa", math.Round(kpa)
	return i
}

// refrigerants lists those of the library that fit both sides.
func (r rest) refrigerants(sides []side) (names []string) {
	for _, name := range met() {
		if name == r.l.Circuit.Refrigerant.Name() {
			continue
		}
		other, err := thermo.Lookup(name)
		if err == nil && slices.IndexFunc(sides, func(s side) bool { return !fitsRefrigerant(other, s) }) < 0 {
			names = append(names, name)
		}
		if len(names) == mostCandidates {
			break
		}
	}
	return names
}

// fitsRefrigerant tells whether a pressure is that of a refrigerant at a temperature,
// within a kelvin either side of bubble and dew.
func fitsRefrigerant(r *thermo.Refrigerant, s side) bool {
	dew, err := r.DewP(thermo.FromCelsius(s.temp - fits))
	if err != nil || s.kpa*1000 < float64(dew) {
		return false
	}
	bubble, err := r.BubbleP(thermo.FromCelsius(s.temp + fits))
	return err == nil && s.kpa*1000 <= float64(bubble)
}

// mostCandidates is how many are worth telling.
const mostCandidates = 3

// met are the refrigerants that are met in the field, the commonest first. Source:
// common practice, no source.
func met() []string {
	return []string{"R134a", "R404A", "R410A", "R32", "R290", "R407C", "R449A", "R448A", "R22", "R1234yf", "R600a", "R717", "R744", "R452A", "R513A", "R454C", "R454B", "R455A", "R507A", "R407F", "R407A", "R450A", "R1234ze(E)"}
}

func (r rest) text(sides []side) string {
	text := ""
	for i, s := range sides {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s %.0f kPa at %.1f °C is %+.1f K off saturation of %s", ChannelOf(s.pressure), s.kpa, s.temp, s.excess(r.l.Circuit, 0), r.l.Circuit.Refrigerant)
	}
	return fmt.Sprintf("at rest for %.0f minutes: %s", r.minutes, text)
}
