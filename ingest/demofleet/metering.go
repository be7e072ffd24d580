package demofleet

import (
	"math"
	"math/rand/v2"
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// A metering is what is measured of a system's electricity and heat.
type metering struct {
	unit     bool // the power meter covers the fans as well
	heat     bool // a heat meter in the water that is heated or cooled for use
	counts   bool // an energy counter
	pockets  bool // sensors as in a laboratory
	humid    bool // the room's humidity is logged
	watts    bool // W are stored under kW
	phase    bool // the power of one phase is stored
	backward bool // the counter runs backwards
	resets   bool // the counter is set to zero once
	air      float64
	fans     fans
	counter  *energyCounter
	wrong    [2]time.Time // from when to when the meter is wrong
}

// What power meters cover, as the register says it.
const (
	compressorMeter = "compressor"
	unitMeter       = "whole unit with fans"
)

// lots are which systems get which meters, by the names of the mix.
func (x Meters) lots(seed uint64, systems int) map[string][]bool {
	hit := map[string][]bool{}
	for name, share := range map[string]float64{
		"unit": x.Unit, "heat": x.Heat, "counter": x.Counter, "counter set": x.CounterSet, "humidity": x.Humidity,
		"laboratory": x.Laboratory, "watts": x.Watts, "one phase": x.OnePhase, "backwards": x.Backwards,
	} {
		hit[name] = deal(chance(seed, "meters", name), share, systems)
	}
	return hit
}

// meter gives the machine its meters.
func (m *machine) meter(r *rand.Rand, lots map[string][]bool, i int, x Machines) {
	has := func(name string) bool { return lots[name][i] }
	water := m.source == chilledWater || m.sinkMedium == heatingWater
	m.unit, m.pockets, m.heat = has("unit"), has("laboratory"), has("heat") && water
	m.counts, m.resets = has("counter"), has("counter set")
	m.watts, m.phase, m.backward = has("watts"), has("one phase") && !has("watts"), has("backwards")
	m.humid = has("humidity") && m.source == roomAir && m.evaporating > 0
	m.fans = m.drawFans(r, x)
	if m.unit {
		m.row.PowerCovers = unitMeter
	}
	m.truth.Covers = m.row.PowerCovers
}

// watched prepares the meters that stay on the machine with a permanent logger.
func (m *machine) watched(r *rand.Rand, o Options) {
	from := o.end().Truncate(24*time.Hour).AddDate(0, 0, -o.PermanentDays)
	m.fixed.rated[power] = m.metered(m.point, true)
	if m.heat {
		m.fixed.rated[heatFlow] = m.waterFlow(from, m.point, m.design)
		in, out := sourceIn, sourceOut
		if m.sinkMedium == heatingWater {
			in, out = sinkIn, sinkOut
		}
		m.fixed.pair(r, in, out)
	}
	if m.humid {
		m.air = airShare * m.plant.Branches[0].Coil.Medium / airHeat
		m.row.EvaporatorAir = math.Round(3600 * m.air * airVolume(m.design.Source, airPressure(m.site.altitude)) * (1 + 0.05*r.NormFloat64()))
	}
	m.counter = newEnergyCounter(r, m, from, o.PermanentDays)
	days := float64(o.PermanentDays)
	begin := from.Add(time.Duration(between(r, 0.2, 0.6) * days * 24 * float64(time.Hour))).Truncate(time.Minute)
	m.wrong = [2]time.Time{begin, begin.Add(time.Duration(between(r, 0.15, 0.3) * days * 24 * float64(time.Hour))).Truncate(time.Minute)}
	if what, factor := m.mistake(); factor != 1 {
		m.truth.MeterErrors = append(m.truth.MeterErrors, truth.MeterError{What: what, From: m.wrong[0], To: m.wrong[1]})
	}
	if m.backward && m.counts {
		m.truth.MeterErrors = append(m.truth.MeterErrors, truth.MeterError{What: "energy counter runs backwards", From: m.wrong[0], To: m.wrong[1]})
	}
}

// meterChannels are the channels of a permanent logger's meters.
func (m *machine) meterChannels() (list []quantity) {
	switch {
	case m.heat && m.sinkMedium == heatingWater:
		list = append(list, sinkOut, heatFlow)
	case m.heat:
		list = append(list, sourceOut, heatFlow)
	case m.humid:
		list = append(list, sourceOut, humidity)
	}
	if m.counts {
		list = append(list, energyCount)
	}
	return list
}

// Fans of air coils.
type fans struct {
	condenser, evaporator float64 // kW at full flow
	stay                  bool    // the evaporator's run on while the compressor stands
}

// fanExponent is how a fan's power follows its flow: less than the third power of the
// fan laws, for the losses of drives at low speed (common practice, no source).
const fanExponent = 2.5

func (m *machine) drawFans(r *rand.Rand, x Machines) fans {
	f := fans{condenser: draw(r, x.CondenserFan) * m.point.Heating, evaporator: draw(r, x.EvaporatorFan) * m.point.Cooling}
	if m.sinkMedium != outdoorAir {
		f.condenser = 0
	}
	if m.source != roomAir && m.source != outdoorAir {
		f.evaporator = 0
	}
	f.stay = m.source == roomAir && m.evaporating < 0
	return f
}

// metered is the power at the meter, kW, running at a point or standing still.
func (m *machine) metered(p plant.Point, running bool) float64 {
	kw := p.Input
	if m.unit {
		kw += m.fans.power(p, running)
	}
	return kw
}

// power is that of the fans, kW.
func (f fans) power(p plant.Point, running bool) float64 {
	switch {
	case running:
		return f.evaporator + f.condenser*math.Pow(p.FanFlow, fanExponent)
	case f.stay:
		return f.evaporator
	}
	return 0
}

// mistaken spoils what a permanent logger stores of the meters, over some time. The first
// file of it says so in its truth.
func (m *machine) mistaken(rec *recorder) {
	if m.backward && m.counts {
		m.counter.backward = m.wrong
	}
	what, factor := m.mistake()
	if factor == 1 || !rec.visit.start.Before(m.wrong[1]) || !rec.visit.end().After(m.wrong[0]) {
		return
	}
	if !m.wrong[0].Before(rec.visit.start) {
		rec.note("D28", what, m.wrong[0], power)
	}
	rec.onShow(func(now time.Time, q quantity, v float64) float64 {
		if q == power && !now.Before(m.wrong[0]) && now.Before(m.wrong[1]) {
			return v * factor
		}
		return v
	})
}

// mistake is what is wrong with the stored power, and by which factor.
func (m *machine) mistake() (what string, factor float64) {
	switch {
	case m.watts:
		return "power in W stored under kW", 1000
	case m.phase:
		return "one phase of three measured", 1.0 / 3
	}
	return "", 1
}

// waterFlow is the flow of the water that is heated or cooled for use, m³/h. Pumps keep
// the flow of heat capacity; density by a parabola about its greatest (within 0.1 % from
// 0 to 60 °C), heat capacity 4.18 kJ/(kg K), as in any table of water.
func (m *machine) waterFlow(t time.Time, p plant.Point, c plant.Conditions) float64 {
	run := m.modeAt(t).plant
	switch {
	case m.sinkMedium == heatingWater:
		return flowOf(run.Condenser.Medium*p.FanFlow*(1-c.Faults.CondenserFouling), (c.Sink+p.SinkOut)/2)
	case m.source == chilledWater:
		return flowOf(run.Branches[0].Coil.Medium*c.SourceFlow*(1-c.Faults.EvaporatorFouling), (c.Source+p.SourceOut)/2)
	}
	return 0
}

// flowOf is the flow of water of a heat capacity flow, kW/K, at a temperature, m³/h.
func flowOf(capacity, celsius float64) float64 {
	density := 1000 - 0.0055*(celsius-4)*(celsius-4)
	return 3600 * capacity / (4.18 * density)
}
