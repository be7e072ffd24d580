package demofleet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A machine is one system of the fleet with all that makes it run.
type machine struct {
	recipe
	truth    truth.System
	row      register.System
	site     site
	weather  *weather
	mode                  // as it mostly runs
	reversed *mode        // heating rooms; nil if it cannot
	refilled *mode        // with another refrigerant; nil if that never happens
	sketched plant.Design // what it was made to

	setting       float64 // of the source, °C
	reset         change  // of the setting, by K
	part          change  // of the compressor's size, to a share of it
	flow          change  // of the flow through the evaporator, to a share of it
	recirculation float64 // of the condenser's own warm air, K
	swing         float64 // of the source with the thermostat, K
	hunting       float64 // amplitude of superheat, K
	period        float64 // of hunting, s
	noisePhase    float64
	sun           float64       // how much the sun warms the condenser's air at noon, K
	doors         float64       // how much doors and people warm the room for some minutes, K
	defrost       time.Duration // between defrosts; 0 if there are none
	thaw          time.Duration // length of a defrost, by a clock, with the compressor off (electric heaters)
	frost         float64       // share of the evaporator's air that frost has taken by then
	fixed         *kit          // the permanent logger, if there is one
	home          int           // the kit that mostly comes
	spare         []knot        // of a record that is done: room for those of the next
	controls      Controls      // that are set alike on all machines
	busy          float64       // load over that which is usual
	stages        Range         // means of a day from which the second stage and full capacity run, °C
	metering
	levelSensor
	positioned bool // the position of its valve is logged
}

// A mode is a way in which a machine runs.
type mode struct {
	plant  *plant.Plant
	point  plant.Point // at known conditions
	design plant.Conditions
	last   knot // at which the record before began; the zero knot at first
}

// near is the point to start from toward conditions: where the record before began, if
// that is any nearer than the design point.
func (m *mode) near(c plant.Conditions) knot {
	if m.last.mode != nil && m.last.c.Faults.ValveStuck == c.Faults.ValveStuck {
		return m.last
	}
	return knot{mode: m, p: m.point, c: m.design}
}

// reverse lets the machine heat rooms, if it finds a point to run at then.
func (m *machine) reverse() {
	cold := m.design
	cold.Source, cold.Sink, cold.Surround = 5, 20, 8
	q := m.plant.Reversed()
	if s, err := q.Solve(cold, m.point, m.design); err == nil {
		m.reversed = &mode{plant: q, point: s, design: cold}
	}
}

// heats tells whether the machine runs reversed on the day of a time.
func (m *machine) heats(t time.Time) bool {
	return m.reversed != nil && m.weather.day(t.Truncate(24*time.Hour)) < m.controls.HeatsBelow
}

// modeAt is how the machine runs on the day of a time.
func (m *machine) modeAt(t time.Time) *mode {
	switch {
	case m.heats(t):
		return m.reversed
	case m.refilled != nil && !t.Before(m.truth.Retrofit.From):
		return m.refilled
	}
	return &m.mode
}

// fluid is the refrigerant in the machine at a time.
func (m *machine) fluid(t time.Time) *plant.Fluid { return m.modeAt(t).plant.Fluid }

// A change is a value that holds from some time on; the zero change never comes.
type change struct {
	from  time.Time
	value float64
}

// at is the value at a time, or another before it holds.
func (c change) at(t time.Time, before float64) float64 {
	if c.from.IsZero() || t.Before(c.from) {
		return before
	}
	return c.value
}

// drawMachine makes the n-th system of a site. The fluids are shared; controls are drawn
// by themselves.
func drawMachine(r, controls *rand.Rand, k recipe, s site, w *weather, id string, fluids fluidTables, mix *Mix) (*machine, error) {
	x := &mix.Machines
	m := &machine{recipe: k, site: s, weather: w, controls: mix.Controls, busy: mix.Weather.Load}
	held := m.steer(controls)
	refrigerant := k.refrigerants[mix.Fluids.pick(r, k.refrigerants)]
	fluid, err := fluids.get(refrigerant)
	if err != nil {
		return nil, err
	}
	expansion := mix.chooseDevice(r, k)
	d := m.sketch(r, fluid, expansion, x, held)
	if m.plant, m.point, m.design, err = d.Plant(); err != nil {
		return nil, fmt.Errorf("mix: machines: %s, a %s, cannot be made: %w", id, k.noun, err)
	}
	m.sketched = d
	if can := r.Float64() < x.Reversible; can && k.kind == register.AirConditioning {
		m.reverse()
	}
	m.setting = d.Source
	m.recirculation, m.sun = draw(r, x.Recirculation), draw(r, x.Sun)
	m.swing = draw(r, x.Swing)
	m.period = draw(r, x.HuntingPeriod)
	m.doors = draw(r, x.Doors)
	if every := draw(r, x.Defrost); k.evaporating < -3 && k.source == roomAir {
		m.defrost = time.Duration(every * float64(time.Hour)).Truncate(time.Minute)
		m.frost, m.thaw = draw(r, x.Frost), minutes(x.DefrostFor)
	}
	m.noisePhase = between(r, 0, 2*math.Pi)
	if expansion == register.Thermostatic {
		m.hunting = draw(r, x.Hunting)
	} else if expansion == register.Electronic {
		m.hunting = draw(r, x.ElectronicHunt)
	}
	m.truth = truth.System{
		ID: id, Site: s.name, Kind: k.noun, Refrigerant: refrigerant, Expansion: expansionWord(expansion),
		Receiver: d.ReceiverLitre > 0, Reserve: m.plant.Reserve(m.point) / m.plant.RatedCharge, RatedCharge: m.plant.RatedCharge, Cooling: d.Cooling,
	}
	m.row = m.registerRow(d, expansion)
	return m, nil
}

// sketch draws the design of a plant of the kind.
// held says whether head pressure is held up.
func (m *machine) sketch(r *rand.Rand, f *plant.Fluid, e register.Expansion, x *Machines, held bool) plant.Design {
	k := m.recipe
	about := func(v, spread float64) float64 { return v * (1 + x.Spread*between(r, -spread, spread)) }
	size := x.Size * math.Exp(between(r, math.Log(k.cooling[0]), math.Log(k.cooling[1])))
	source := x.Setpoint + between(r, k.setpoint[0], k.setpoint[1])
	shift := source - (k.setpoint[0]+k.setpoint[1])/2
	d := plant.Design{
		Fluid: f, Cooling: math.Round(size*10) / 10, Source: source, Sink: k.sink, Surround: 25 + x.Setpoint,
		Evaporating: k.evaporating + shift + draw(r, x.Evaporating), Condensing: k.condensing + draw(r, x.Condensing),
		Superheat: k.superheat + draw(r, x.Superheat), Subcooling: k.subcooling + draw(r, x.Subcooling),
		SourceNTU: x.SourceNTU * about(k.sourceNTU, 0.1), SinkNTU: x.SinkNTU * about(k.sinkNTU, 0.1),
		SuctionRise: draw(r, x.SuctionRise), LiquidDrop: draw(r, x.LiquidDrop),
		Expansion: expansionOf(e), Opening: draw(r, x.Opening),
		Isentropic: x.Isentropic * about(k.isentropic, 0.04), Falloff: x.Falloff, Clearance: draw(r, x.Clearance), HeatLoss: draw(r, x.HeatLoss),
		CondenserLitre: x.Volume * about(0.3, 0.25), EvaporatorLitre: x.Volume * about(k.evaporatorLitre, 0.2),
		LiquidLineLitre: x.Volume * size * about(0.04, 0.4), SuctionLitre: x.Volume * size * about(0.2, 0.3),
		SuctionLoss: draw(r, x.SuctionLoss), DischargeLoss: draw(r, x.DischargeLoss), Oil: draw(r, x.Oil),
		Warmer: k.warmer,
	}
	if held {
		d.Fan = m.fan()
	}
	// A blend's glide takes from the condenser's difference.
	d.Subcooling = math.Min(d.Subcooling, 0.55*(d.Condensing-f.Glide(d.Condensing)/2-d.Sink))
	// At part load the evaporator's difference shrinks; superheat must still fit.
	room := 0.65
	if k.variable || k.staged {
		room = 0.45
	}
	d.Superheat = math.Min(d.Superheat, room*(d.Source-d.Evaporating-f.Glide(d.Evaporating)/2))
	switch d.Expansion {
	case plant.Thermostatic:
		d.Gradient = math.Min(draw(r, x.Gradient), 0.8*d.Superheat/d.Opening)
	case plant.Electronic:
		d.Opening = draw(r, x.ElectronicOpen)
	}
	if e != register.Capillary && e != register.Orifice && k.receiver && (r.Float64() < x.Receiver || k.always) {
		d.ReceiverLitre, d.ReceiverLevel = x.ReceiverSize*x.Volume*size*about(0.4, 0.2), draw(r, x.ReceiverFill)
		d.Subcooling, d.LiquidDrop = 0, draw(r, x.AfterReceiver)
		if r.Float64() < x.Flooding {
			d.Fan, d.Flood = plant.Fan{}, k.condensing-m.controls.FloodBelow
			d.ReceiverLitre, d.ReceiverLevel = 1.8*d.ReceiverLitre, d.ReceiverLevel+0.2
		}
	}
	return d
}

// steer draws what differs of the machine's controls from that of others. It tells whether
// its head pressure is held up.
func (m *machine) steer(r *rand.Rand) (held bool) {
	c := m.controls
	held = r.Float64() < c.HeadPressure
	if staged, fixed := r.Float64() < c.Staged, r.Float64() < c.Fixed; m.variable && (staged || fixed) {
		m.variable, m.staged = false, staged
	}
	shift := between(r, -c.StageShift, c.StageShift)
	m.stages = Range{c.StageAt[0] + shift, c.StageAt[1] + shift}
	return held
}

// fan is the head-pressure control: fans in outdoor air, a valve in cooling water.
func (m *machine) fan() plant.Fan {
	c, at := m.controls, m.recipe.condensing
	switch m.sinkMedium {
	case outdoorAir:
		return plant.Fan{Slow: at - c.FansBelow[1], Full: at - c.FansBelow[0], Least: c.FansLeast}
	case coolingWater:
		return plant.Fan{Slow: at - c.WaterBelow[1], Full: at - c.WaterBelow[0], Least: c.WaterLeast}
	}
	return plant.Fan{}
}

// headPressure says whether head pressure is held up, and the pressure in the
// middle of the band in which it is held, kPa.
func (m *machine) headPressure(d plant.Design) (table.State, float64) {
	held := d.Flood
	if d.Fan != (plant.Fan{}) {
		held = (d.Fan.Slow + d.Fan.Full) / 2
	}
	if held == 0 {
		return table.No, math.NaN()
	}
	return table.Yes, math.Round(d.Fluid.Pressure(held)/10) * 10
}

// registerRow is what the firm has written down about the system.
func (m *machine) registerRow(d plant.Design, e register.Expansion) register.System {
	row := register.NewSystem(m.truth.ID)
	row.Site, row.Area, row.Kind = m.site.name, areas[m.site.climate], m.recipe.kind
	row.Name = fmt.Sprintf("%s, %.1f kW", m.recipe.noun, d.Cooling)
	row.RefrigerantName = m.truth.Refrigerant
	row.Charge = register.Charge{KG: math.Round(m.truth.RatedCharge*100) / 100, Source: register.ChargeKnown}
	row.Expansion = e
	row.Receiver = register.NoReceiver
	if m.truth.Receiver {
		row.Receiver = register.HighSideReceiver
	} else {
		row.DesignSubcooling = math.Round(d.Subcooling)
	}
	row.DesignSuperheat = math.Round(d.Superheat)
	row.HeadPressureControl, row.HeadPressureFloor = m.headPressure(d)
	row.Altitude = m.site.altitude
	row.Zone = m.weather.local
	row.PowerCovers = compressorMeter
	lawful(&row)
	return row
}

func expansionWord(e register.Expansion) string {
	switch expansionOf(e) {
	case plant.Electronic:
		return "electronic"
	case plant.Fixed:
		return "fixed"
	}
	return "thermostatic"
}

// conditions is what the system is exposed to at a time, when it has run for a
// while.
func (m *machine) conditions(t time.Time, running time.Duration) plant.Conditions {
	out := m.weather.outdoor(t)
	return plant.Conditions{
		Source: m.sourceTemp(t, out, running), Sink: m.sinkTemp(t, out), Surround: 12 + out/2,
		Speed: m.speed(t, out) * m.part.at(t, 1), Charge: m.truth.Charge(t), SourceFlow: m.flow.at(t, 1),
		Faults: m.placed(plant.Faults{
			CondenserFouling:  m.truth.Fault(truth.CondenserFouling, t),
			EvaporatorFouling: m.truth.Fault(truth.EvaporatorFouling, t),
			Restriction:       m.truth.Fault(truth.Restriction, t),
			Wear:              m.truth.Fault(truth.Wear, t),
			Gas:               1000 * m.truth.Fault(truth.ForeignGas, t),
			ValveStuck:        m.truth.Fault(truth.ValveStuck, t),
		}, t),
	}
}

// placed are faults of coils, named by what they do when the machine cools, by what they do
// at a time, or the other way round.
func (m *machine) placed(f plant.Faults, t time.Time) plant.Faults {
	if m.heats(t) {
		return f.Reversed()
	}
	return f
}

// sourceTemp is the medium entering the evaporator, °C. Rooms and water are
// pulled down after a start and swing with the thermostat.
func (m *machine) sourceTemp(t time.Time, out float64, running time.Duration) float64 {
	switch {
	case m.source == outdoorAir || m.heats(t):
		return out
	case m.source == brine:
		return m.weather.ground(t) - 3 + m.swing*m.wave(t, 1700)
	}
	set := m.setting + m.reset.at(t, 0)
	load := 0.03 * (out - 15)
	pull := 1.2 * m.swing * math.Exp(-running.Minutes()/9)
	people := m.doors * math.Max(0, m.wave(t, 2311)*m.wave(t, 7919))
	return set + load + pull + people + m.swing*m.wave(t, 1300)
}

// heatingLimit is the mean of a day above which no house is heated, °C.
const heatingLimit = 15.0

// sinkTemp is the medium entering the condenser, °C.
func (m *machine) sinkTemp(t time.Time, out float64) float64 {
	switch {
	case m.heats(t):
		return m.setting - 2 + m.swing*m.wave(t, 1300)
	case m.sinkMedium == heatingWater:
		if m.weather.day(t) > heatingLimit {
			return 41 + m.swing*m.wave(t, 1900) // hot water only
		}
		return 27 + 0.45*(heatingLimit-out) + m.swing*m.wave(t, 1900)
	case m.sinkMedium == coolingWater:
		return math.Max(18, 8+0.6*out) + 0.5*m.swing*m.wave(t, 1500)
	}
	return out + m.recirculation + m.sun*m.weather.sunshine(t)
}

// speed is the compressor's, as a share of full speed: it follows the weather.
func (m *machine) speed(t time.Time, out float64) float64 {
	c := m.controls
	switch {
	case m.staged:
		return m.stage(t)
	case !m.variable:
		return 1
	case m.sinkMedium == heatingWater:
		return c.LeastSpeed + c.MoreSpeed/(1+math.Exp((out-c.HeatingAt)/c.SpeedSpan))
	}
	return c.LeastSpeed + c.MoreSpeed/(1+math.Exp((c.CoolingAt-out)/c.SpeedSpan))
}

// stage is the share of compressors that the day's weather asks for.
func (m *machine) stage(t time.Time) float64 {
	switch day := m.weather.day(t.Truncate(24 * time.Hour)); {
	case day < m.stages[0]:
		return m.controls.Stages[0]
	case day < m.stages[1]:
		return m.controls.Stages[1]
	}
	return 1
}

// wave is a slow sine of the system's own phase.
func (m *machine) wave(t time.Time, period float64) float64 {
	return math.Sin(2*math.Pi*float64(t.Unix())/period + m.noisePhase)
}
