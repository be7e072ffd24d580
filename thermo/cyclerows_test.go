package thermo

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// fieldColumns makes n random rows of a plant.
func fieldColumns(t testing.TB, r *Refrigerant, n int) *CycleColumns {
	t.Helper()
	rng := rand.New(rand.NewPCG(17, 18))
	c := &CycleColumns{ShellLoss: 0.07, Displacement: 8e-3}
	for range n {
		te, tc := FromCelsius(-25+30*rng.Float64()), FromCelsius(28+20*rng.Float64())
		p1, err1 := r.DewP(te)
		p2, err2 := r.BubbleP(tc)
		dew2, err3 := r.DewT(p2)
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(err)
		}
		c.SuctionP = append(c.SuctionP, float64(p1))
		c.SuctionT = append(c.SuctionT, float64(te)+3+12*rng.Float64())
		c.DischargeP = append(c.DischargeP, float64(p2))
		c.DischargeT = append(c.DischargeT, float64(dew2)+20+30*rng.Float64())
		c.LiquidT = append(c.LiquidT, float64(tc)-1-8*rng.Float64())
		c.Power = append(c.Power, 4000+2000*rng.Float64())
	}
	return c
}

// allResults has every column.
func allResults(n int) *CycleResults {
	c := func() []float64 { return make([]float64, n) }
	return &CycleResults{
		EvaporatingDew: c(), EvaporatingBubble: c(), EvaporatingMid: c(),
		CondensingDew: c(), CondensingBubble: c(), CondensingMid: c(),
		Superheat: c(), Subcooling: c(), DischargeSuperheat: c(), PressureRatio: c(),
		IsentropicEfficiency: c(), VolumetricEfficiency: c(), CoolingCOP: c(), HeatingCOP: c(),
		MassFlow: c(), Cooling: c(), Heating: c(), MapFlow: c(), MapPower: c(),
		SourceHeat: c(), SinkHeat: c(), SourceFlow: c(), SinkFlow: c(), CarnotInternal: c(), CarnotExternal: c(),
	}
}

// TestCycleRows: the columns equal the same arithmetic on states from the
// equations.
func TestCycleRows(t *testing.T) {
	for _, name := range []string{"R134a", "R290", "R404A", "R448A", "R454C"} {
		r := mustLookup(t, name)
		f := mustFast(t, name)
		in := fieldColumns(t, r, 40)
		out := allResults(40)
		if bad := f.Cycle(out, in); bad != nil {
			t.Fatalf("%s: %v", name, bad[0])
		}
		for i := range in.SuctionP {
			p1, p2 := Pascal(in.SuctionP[i]), Pascal(in.DischargeP[i])
			suction, err1 := r.At(p1, Kelvin(in.SuctionT[i]))
			discharge, err2 := r.At(p2, Kelvin(in.DischargeT[i]))
			liquid, err3 := r.At(p2, Kelvin(in.LiquidT[i]))
			eta, err4 := IsentropicEfficiency(r, suction, discharge)
			dew1, err5 := r.DewT(p1)
			bubble2, err6 := r.BubbleT(p2)
			if err := errors.Join(err1, err2, err3, err4, err5, err6); err != nil {
				t.Fatal(err)
			}
			c := Cycle{Suction: suction, Discharge: discharge, Liquid: liquid, Outlet: suction, ShellLoss: in.ShellLoss}
			cop, _ := c.CoolingCOP()
			heat, _ := c.HeatingCOP()
			flow, _ := c.FlowByEnergyBalance(Watt(in.Power[i]))
			for _, v := range []struct {
				what      string
				got, want float64
				tol       float64
			}{
				{"evaporating dew", out.EvaporatingDew[i], float64(dew1), 1e-5},
				{"condensing bubble", out.CondensingBubble[i], float64(bubble2), 1e-5},
				{"superheat", out.Superheat[i], in.SuctionT[i] - float64(dew1), 1e-5},
				{"subcooling", out.Subcooling[i], float64(bubble2) - in.LiquidT[i], 1e-5},
				{"pressure ratio", out.PressureRatio[i], c.PressureRatio(), 1e-12},
				{"isentropic efficiency", out.IsentropicEfficiency[i], eta, 2e-4},
				{"cooling COP", out.CoolingCOP[i], cop, 1e-3},
				{"heating COP", out.HeatingCOP[i], heat, 1e-3},
				{"mass flow", out.MassFlow[i], float64(flow.Value), 2e-5},
				{"cooling", out.Cooling[i], float64(c.Cooling(flow).Value), 2},
				{"heating", out.Heating[i], float64(c.Heating(flow).Value), 2},
				{"volumetric efficiency", out.VolumetricEfficiency[i], c.VolumetricEfficiency(flow.Value, in.Displacement), 2e-4},
			} {
				if !(math.Abs(v.got-v.want) <= v.tol) {
					t.Errorf("%s row %d: %s = %.8g, equations %.8g", name, i, v.what, v.got, v.want)
				}
			}
		}
	}
}

// TestCycleRowsBad: a row that lacks an answer is listed with the reason, the
// others and the columns that can be answered are not touched.
func TestCycleRowsBad(t *testing.T) {
	r, f := mustLookup(t, "R404A"), mustFast(t, "R404A")
	in := fieldColumns(t, r, 6)
	in.SuctionT[1] = math.NaN() // missing
	in.SuctionT[2] -= 30        // wet suction
	in.LiquidT[3] += 20         // flash gas
	in.DischargeP[4] = 6e6      // above critical
	in.DischargeT[5] = 250      // sensor off the pipe
	out := allResults(6)
	bad := f.Cycle(out, in)
	rows := map[int]bool{}
	for _, b := range bad {
		rows[b.Row] = true
	}
	for i := range 6 {
		if rows[i] != (i > 0) {
			t.Errorf("row %d listed: %v (%v)", i, rows[i], bad)
		}
	}
	if math.IsNaN(out.CoolingCOP[0]) || !math.IsNaN(out.CoolingCOP[3]) || math.IsNaN(out.IsentropicEfficiency[3]) {
		t.Errorf("COP %v, efficiency %v", out.CoolingCOP, out.IsentropicEfficiency)
	}
	if math.IsNaN(out.Subcooling[1]) || math.IsNaN(out.EvaporatingDew[2]) || out.Superheat[2] > 0 {
		t.Errorf("answers lost: subcooling %v, evaporating %v, superheat %v", out.Subcooling, out.EvaporatingDew, out.Superheat)
	}
	var super *SupercriticalError
	found := false
	for _, b := range bad {
		found = found || b.Row == 4 && errors.As(b.Err, &super)
	}
	if !found {
		t.Errorf("no SupercriticalError for row 4: %v", bad)
	}
}

// TestTranscriticalRow: above the critical pressure there is no condensing
// temperature, but states, efficiency and COP are there.
func TestTranscriticalRow(t *testing.T) {
	f := mustFast(t, "R744")
	in := &CycleColumns{
		SuctionP: []float64{3.0e6}, SuctionT: []float64{278}, DischargeP: []float64{9e6}, DischargeT: []float64{373}, LiquidT: []float64{308},
		Power: []float64{5000},
	}
	out := allResults(1)
	bad := f.Cycle(out, in)
	if len(bad) == 0 || !math.IsNaN(out.CondensingDew[0]) || !math.IsNaN(out.Subcooling[0]) {
		t.Errorf("condensing %v, subcooling %v, reasons %v", out.CondensingDew, out.Subcooling, bad)
	}
	if !(out.CoolingCOP[0] > 1.5 && out.CoolingCOP[0] < 4 && out.IsentropicEfficiency[0] > 0.5 && out.IsentropicEfficiency[0] < 1) {
		t.Errorf("COP %v, efficiency %v", out.CoolingCOP, out.IsentropicEfficiency)
	}
}

// TestCycleRoutes: flow by the compressor map and by both streams, and the two
// Carnot fractions, equal the arithmetic on single values.
func TestCycleRoutes(t *testing.T) {
	r, f := mustLookup(t, "R134a"), mustFast(t, "R134a")
	in := fieldColumns(t, r, 10)
	in.Map = testMap()
	in.Source, in.Sink = &SecondaryColumns{Cp: 4186}, &SecondaryColumns{Cp: 4186}
	for i := range in.SuctionP {
		in.Source.MassFlow, in.Sink.MassFlow = append(in.Source.MassFlow, 0.3), append(in.Sink.MassFlow, 0.25)
		in.Source.In, in.Source.Out = append(in.Source.In, 287), append(in.Source.Out, 283-0.1*float64(i))
		in.Sink.In, in.Sink.Out = append(in.Sink.In, 299), append(in.Sink.Out, 305)
	}
	out := allResults(10)
	if bad := f.Cycle(out, in); bad != nil {
		t.Fatal(bad)
	}
	for i := range in.SuctionP {
		pt, err := in.Map.At(r, Pascal(in.SuctionP[i]), Kelvin(in.SuctionT[i]), Pascal(in.DischargeP[i]))
		if err != nil || math.Abs(out.MapFlow[i]/float64(pt.Flow)-1) > 1e-5 || math.Abs(out.MapPower[i]/float64(pt.Power)-1) > 1e-3 {
			t.Errorf("row %d: map flow %g, power %g; %+v, %v", i, out.MapFlow[i], out.MapPower[i], pt, err)
		}
		source := 0.3 * 4186 * (4 + 0.1*float64(i))
		if math.Abs(out.SourceHeat[i]-source) > 1e-6 || math.Abs(out.SinkHeat[i]-0.25*4186*6) > 1e-6 {
			t.Errorf("row %d: heats %g, %g", i, out.SourceHeat[i], out.SinkHeat[i])
		}
		cooling := out.Cooling[i] / out.MassFlow[i]
		if math.Abs(out.SourceFlow[i]*cooling/source-1) > 1e-9 {
			t.Errorf("row %d: source flow %g", i, out.SourceFlow[i])
		}
		internal, err := CarnotFraction(out.CoolingCOP[i], Kelvin(out.EvaporatingDew[i]), Kelvin(out.CondensingDew[i]), false)
		if err != nil || math.Abs(out.CarnotInternal[i]-internal) > 1e-12 {
			t.Errorf("row %d: internal Carnot fraction %g, want %g, %v", i, out.CarnotInternal[i], internal, err)
		}
		external, err := CarnotFraction(out.CoolingCOP[i], 287, 299, false)
		if err != nil || math.Abs(out.CarnotExternal[i]-external) > 1e-12 {
			t.Errorf("row %d: external Carnot fraction %g, want %g, %v", i, out.CarnotExternal[i], external, err)
		}
	}
	in.ShellLoss = 1.5
	if bad := f.Cycle(out, in); len(bad) != 1 || bad[0].Row != -1 {
		t.Errorf("a shell loss of 1.5 was accepted: %v", bad)
	}
}

// BenchmarkCycle is one whole row: two saturations, four enthalpies and the
// isentropic discharge, and every derived column.
func BenchmarkCycle(b *testing.B) {
	for _, name := range []string{"R134a", "R448A"} {
		b.Run("refrigerant="+name, func(b *testing.B) {
			r, f := mustLookup(b, name), mustFast(b, name)
			in, out := fieldColumns(b, r, 1024), allResults(1024)
			b.ReportAllocs()
			for b.Loop() {
				if bad := f.Cycle(out, in); bad != nil {
					b.Fatal(bad[0])
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*1024), "ns/row")
		})
	}
}

// BenchmarkTranscritical is one row of an R744 plant with a gas cooler. Its
// saturation columns have no answer and are not asked for.
func BenchmarkTranscritical(b *testing.B) {
	f := mustFast(b, "R744")
	in := &CycleColumns{
		SuctionP: []float64{3.0e6}, SuctionT: []float64{278}, DischargeP: []float64{9e6}, DischargeT: []float64{373}, LiquidT: []float64{308},
	}
	out := &CycleResults{CoolingCOP: make([]float64, 1), IsentropicEfficiency: make([]float64, 1)}
	f.Cycle(out, in)
	for b.Loop() {
		f.Cycle(out, in)
	}
	if !(out.CoolingCOP[0] > 1) {
		b.Fatal(out.CoolingCOP)
	}
}
