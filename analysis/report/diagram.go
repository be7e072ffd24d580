package report

import (
	"math"
	"time"

	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// diagram is the pressure-enthalpy diagram of the latest visit and of the reference
// visit: the first judged one of the present baseline. why says why there is none.
func (s System) diagram() (charts []chart.Chart, why string, err error) {
	latest, ok := s.lastCycle()
	if !ok {
		return nil, s.say.Text("No pressure-enthalpy diagram: no visit has both pressures, the suction and the liquid temperature."), nil
	}
	if s.Register.RefrigerantName == "" {
		return nil, s.say.Text("No pressure-enthalpy diagram: the register does not say the refrigerant."), nil
	}
	r, err := thermo.Lookup(s.Register.RefrigerantName)
	if err != nil {
		return nil, s.say.Text("No pressure-enthalpy diagram: %s.", s.say.Prose(err.Error())), nil
	}
	now, wet, err := s.cycle(r, latest)
	if err != nil {
		return nil, s.say.Text("No pressure-enthalpy diagram: %s.", s.say.Prose(err.Error())), nil
	}
	now.Name = s.say.Text("latest visit, %s", s.say.Day(latest.Start, s.Zone()))
	e := chart.Enthalpy{ID: "enthalpy", Refrigerant: r.Name(), Latest: &now, Say: s.say,
		Finding: s.say.Text("The latest cycle evaporates at %s and condenses at %s.", s.evaporating(latest), s.condensing(latest)), About: s.cycleAbout(latest)}
	if ref, ok := s.referenceCycle(latest.Start); ok {
		if c, _, err := s.cycle(r, ref); err == nil {
			c.Name = s.say.Text("reference visit, %s", s.say.Day(ref.Start, s.Zone()))
			e.Reference = &c
			e.Finding = s.say.Text("The latest cycle evaporates at %s and condenses at %s; the reference evaporates at %s and condenses at %s.",
				s.evaporating(latest), s.condensing(latest), s.evaporating(ref), s.condensing(ref))
			e.About += " " + s.say.Text("Reference: the first judged visit of the present baseline, at %s.", s.at(ref.OutdoorTemp))
		}
	}
	if wet {
		e.About += " " + s.say.Text("The suction gas or the liquid reads as a mixture of liquid and vapour: it is drawn on the saturation line, its true enthalpy is not known.")
	}
	e.Liquid, e.Vapour = dome(r, latest)
	drawn, err := e.Draw()
	return []chart.Chart{drawn}, "", err
}

func (s System) evaporating(v table.Visit) string {
	return s.say.Figure(say.Temperature, v.EvaporatingTemp, 1)
}

func (s System) condensing(v table.Visit) string {
	return s.say.Figure(say.Temperature, v.CondensingTemp, 1)
}

func (s System) cycleAbout(v table.Visit) string {
	text := s.say.Text("Means of the visit of %s, at %s. Evaporating and condensing temperatures are dew temperatures; pressure drops in pipes and coils are not drawn.",
		s.say.Day(v.Start, s.Zone()), s.at(v.OutdoorTemp))
	if math.IsNaN(v.DischargeTemp) {
		text += " " + s.say.Text("The discharge temperature was not logged: the compression is left open.")
	}
	if !s.say.Units().Absolute {
		text += " " + s.say.Text("The axis of pressure is absolute, as a logarithmic scale has no zero; the figures below are as gauges show them.") + s.gauges()
	}
	return text
}

// drawable tells whether a visit has what a cycle needs.
func drawable(v *table.Visit) bool {
	return !math.IsNaN(v.SuctionPressure + v.DischargePressure + v.SuctionTemp + v.LiquidTemp)
}

func (s System) lastCycle() (table.Visit, bool) {
	for i := len(s.Visits) - 1; i >= 0; i-- {
		if drawable(&s.Visits[i]) {
			return s.Visits[i], true
		}
	}
	return table.Visit{}, false
}

func (s System) referenceCycle(before time.Time) (table.Visit, bool) {
	var from time.Time
	if f, ok := s.leading(); ok {
		from = s.latest()[f.column].Since
	}
	for i := range s.Visits {
		if v := &s.Visits[i]; drawable(v) && v.Use == table.UseTrend && !v.Start.Before(from) && v.Start.Before(before) {
			return *v, true
		}
	}
	return table.Visit{}, false
}

// cycle is the states of a visit in the order of the flow, closed where the
// discharge temperature is known. wet tells that the suction gas or the liquid reads
// as a mixture, whose enthalpy nobody knows: it is drawn on the saturation line.
func (s System) cycle(r *thermo.Refrigerant, v table.Visit) (c chart.Cycle, wet bool, err error) {
	low, high := pascal(v.SuctionPressure), pascal(v.DischargePressure)
	suction, wetGas, err := gas(r, low, thermo.FromCelsius(v.SuctionTemp))
	if err != nil {
		return chart.Cycle{}, false, err
	}
	liquid, wetLiquid, err := liquid(r, high, thermo.FromCelsius(v.LiquidTemp))
	if err != nil {
		return chart.Cycle{}, false, err
	}
	return s.join(r, v, point(s.say.Text("1 suction gas"), suction, low), liquid, low, high), wetGas || wetLiquid, nil
}

// gas is the state of suction gas; at the dew line where it reads no superheat.
func gas(r *thermo.Refrigerant, p thermo.Pascal, t thermo.Kelvin) (s thermo.State, wet bool, err error) {
	superheat, err := r.Superheat(p, t)
	if err != nil {
		return thermo.State{}, false, err
	}
	if superheat <= 0 {
		s, err = r.DewAt(p)
		return s, true, err
	}
	s, err = r.At(p, t)
	return s, false, err
}

// liquid is the state of the liquid; at the bubble line where it reads no subcooling.
func liquid(r *thermo.Refrigerant, p thermo.Pascal, t thermo.Kelvin) (s thermo.State, wet bool, err error) {
	subcooling, err := r.Subcooling(p, t)
	if err != nil {
		return thermo.State{}, false, err
	}
	if subcooling <= 0 {
		s, err = r.BubbleAt(p)
		return s, true, err
	}
	s, err = r.At(p, t)
	return s, false, err
}

// join puts the states in the order of the flow, beginning at the compressor where
// the discharge gas is known and behind it where it is not.
func (s System) join(r *thermo.Refrigerant, v table.Visit, suction chart.State, liquid thermo.State, low, high thermo.Pascal) chart.Cycle {
	var c chart.Cycle
	if discharge, err := r.At(high, thermo.FromCelsius(v.DischargeTemp)); err == nil && !math.IsNaN(v.DischargeTemp) {
		c.States = append(c.States, suction, point(s.say.Text("2 discharge gas"), discharge, high))
		c.Closed = true
	}
	for _, saturated := range []func(thermo.Pascal) (thermo.State, error){r.DewAt, r.BubbleAt} {
		if x, err := saturated(high); err == nil {
			c.States = append(c.States, point("", x, high))
		}
	}
	c.States = append(c.States, point(s.say.Text("3 liquid"), liquid, high), point(s.say.Text("4 behind the valve"), liquid, low))
	if x, err := r.DewAt(low); err == nil {
		c.States = append(c.States, point("", x, low))
	}
	if !c.Closed {
		c.States = append(c.States, suction)
	}
	return c
}

func pascal(kPa float64) thermo.Pascal { return thermo.Pascal(1000 * kPa) }

func point(name string, s thermo.State, p thermo.Pascal) chart.State {
	return chart.State{Name: name, Enthalpy: float64(s.Enthalpy) / 1000, Pressure: float64(p) / 1e5}
}

// domePoints is how many points each saturation line has.
const domePoints = 48

// nearCritical is where the saturation lines end, in critical pressures: their own
// equations end a little below.
const nearCritical = 0.99999

// dome is the saturation lines from below the suction pressure to the critical point.
func dome(r *thermo.Refrigerant, v table.Visit) (liquid, vapour []chart.State) {
	_, critical := r.Critical()
	low := pascal(v.SuctionPressure) / 3
	for i := range domePoints {
		// Closer together near the critical point, where the lines bend.
		x := 1 - math.Pow(1-float64(i)/(domePoints-1), 2)
		p := low * thermo.Pascal(math.Pow(nearCritical*float64(critical/low), x))
		if s, err := r.BubbleAt(p); err == nil {
			liquid = append(liquid, point("", s, p))
		}
		if s, err := r.DewAt(p); err == nil {
			vapour = append(vapour, point("", s, p))
		}
	}
	return meet(liquid, vapour, critical)
}

// meet lets both lines end in one point: at the critical pressure, halfway between
// their ends, where enthalpies that differ by less than a tenth of the dome's foot
// run together.
func meet(liquid, vapour []chart.State, critical thermo.Pascal) (_, _ []chart.State) {
	if len(liquid) == 0 || len(vapour) == 0 {
		return liquid, vapour
	}
	a, b := liquid[len(liquid)-1].Enthalpy, vapour[len(vapour)-1].Enthalpy
	if b-a > (vapour[0].Enthalpy-liquid[0].Enthalpy)/10 {
		return liquid, vapour
	}
	top := chart.State{Enthalpy: (a + b) / 2, Pressure: float64(critical) / 1e5}
	return append(liquid, top), append(vapour, top)
}
