package thermo

import "math"

// compressorMap fills flow and power by the compressor map.
func (r *cycleRow) compressorMap() {
	if r.in.Map == nil {
		put(r.dst.MapFlow, r.i, math.NaN())
		put(r.dst.MapPower, r.i, math.NaN())
		return
	}
	flow, power := math.NaN(), math.NaN()
	if t1 := at(r.in.SuctionT, r.i); !math.IsNaN(r.p1 + r.p2 + t1) {
		pt, err := r.in.Map.At(r.f, Pascal(r.p1), Kelvin(t1), Pascal(r.p2))
		if err != nil {
			r.fail(err)
		} else {
			flow, power = float64(pt.Flow), float64(pt.Power)
		}
	}
	put(r.dst.MapFlow, r.i, flow)
	put(r.dst.MapPower, r.i, power)
}

// heat is what the stream takes up in row i.
func (s *SecondaryColumns) heat(i int) float64 {
	if s == nil {
		return math.NaN()
	}
	return at(s.MassFlow, i) * s.Cp * (at(s.Out, i) - at(s.In, i))
}

// secondary fills heats and flows by the streams outside.
func (r *cycleRow) secondary(cooling, heating float64) {
	source, sink := -r.in.Source.heat(r.i), r.in.Sink.heat(r.i)
	put(r.dst.SourceHeat, r.i, source)
	put(r.dst.SinkHeat, r.i, sink)
	put(r.dst.SourceFlow, r.i, positive(source/cooling))
	put(r.dst.SinkFlow, r.i, positive(sink/heating))
}

// positive turns what cannot be a flow into a missing value.
func positive(x float64) float64 {
	if x > 0 {
		return x
	}
	return math.NaN()
}

// carnot fills both Carnot fractions. There is none above the critical point,
// where the condensing temperature is NaN.
func (r *cycleRow) carnot(coolingCOP, heatingCOP float64) {
	if r.dst.CarnotInternal == nil && r.dst.CarnotExternal == nil {
		return
	}
	cop := coolingCOP
	if r.in.Heating {
		cop = heatingCOP
	}
	if r.in.Subcooler {
		cop = math.NaN()
	}
	put(r.dst.CarnotInternal, r.i, carnotOrNaN(cop, r.dew1, r.dew2, r.in.Heating))
	external := math.NaN()
	if r.in.Source != nil && r.in.Sink != nil && !math.IsNaN(r.dew2) {
		external = carnotOrNaN(cop, at(r.in.Source.In, r.i), at(r.in.Sink.In, r.i), r.in.Heating)
	}
	put(r.dst.CarnotExternal, r.i, external)
}

func carnotOrNaN(cop, cold, hot float64, heating bool) float64 {
	if v, ok := carnotFraction(cop, cold, hot, heating); ok {
		return v
	}
	return math.NaN()
}
