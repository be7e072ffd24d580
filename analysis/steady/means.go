package steady

import (
	"math"
	"strings"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Row is a window as it stands in the table: its means with what follows from
// them, and uncertainties of instruments and spread together.
func (w *Window) Row(c *cycle.Circuit, in cycle.Instruments) (table.Window, []cycle.Lack) {
	m, by := c.Corrected(w.Mean, &in)
	performance, lacks := c.CompressorWithin(&m, &in, &w.Spread)
	budgets, again := c.Budgets(&m, &in)
	of := func(from *cycle.Budgets, q cycle.Quantity) cycle.Budget {
		if math.IsNaN(m[q]) {
			return cycle.UnknownBudget()
		}
		return from[q].With(w.Spread[q])
	}
	both := func(q cycle.Quantity) float64 { return of(&budgets, q).Standard() }
	return table.Window{
		Start: utc(w.Start), End: utc(w.End), Grade: string(w.Grade), Samples: int64(w.Samples), Period: w.Period,
		Superheat: m[cycle.Superheat], SuperheatSD: w.SD[cycle.Superheat], SuperheatU: both(cycle.Superheat),
		SuperheatHalf: of(&budgets, cycle.Superheat).Half(), SuperheatSpreadU: w.Spread[cycle.Superheat], SuperheatRepeatU: of(&again, cycle.Superheat).Standard(), SuperheatCorrection: changed(by[cycle.Superheat]),
		Subcooling: m[cycle.Subcooling], SubcoolingSD: w.SD[cycle.Subcooling], SubcoolingU: both(cycle.Subcooling),
		SubcoolingHalf: of(&budgets, cycle.Subcooling).Half(), SubcoolingSpreadU: w.Spread[cycle.Subcooling], SubcoolingRepeatU: of(&again, cycle.Subcooling).Standard(), SubcoolingCorrection: changed(by[cycle.Subcooling]),
		EvaporatingTemp: m[cycle.Evaporating], CondensingTemp: m[cycle.Condensing],
		DischargeSuperheat: m[cycle.DischargeSuperheat], DischargeU: both(cycle.DischargeSuperheat),
		EvaporatorTD: m[cycle.EvaporatorTD], EvaporatorTDU: both(cycle.EvaporatorTD),
		CondenserTD: m[cycle.CondenserTD], CondenserTDU: both(cycle.CondenserTD),
		SuctionPressure: m[cycle.SuctionPressure], DischargePressure: m[cycle.DischargePressure], LiquidPressure: m[cycle.LiquidPressure],
		SuctionTemp: m[cycle.SuctionTemp], DischargeTemp: m[cycle.DischargeTemp], LiquidTemp: m[cycle.LiquidTemp],
		PressureRatio: m[cycle.PressureRatio], IsentropicEfficiency: m[cycle.IsentropicEfficiency], IsentropicEfficiencyU: performance.IsentropicEfficiency,
		CoolingCOP: m[cycle.CoolingCOP], CoolingCOPU: performance.CoolingCOP, HeatingCOP: m[cycle.HeatingCOP], HeatingCOPU: performance.HeatingCOP, CarnotFraction: m[cycle.CarnotFraction],
		SinkHeat: m[cycle.SinkHeat], Power: m[cycle.Power],
		OutdoorTemp: outdoor(c, m), RoomTemp: other(c, m), ReceiverLevel: m[cycle.ReceiverLevel],
		Swing: w.Swing, Duty: w.Duty, SuperheatLimit: w.SuperheatLimit, SubcoolingLimit: w.SubcoolingLimit, StartUnknown: w.StartUnknown,
		Provisional: w.Provisional, RunningBy: string(w.By), Instruments: strings.Join(in.Serials, " "),
	}, lacks
}

// changed is a correction, NaN where there is none.
func changed(by float64) float64 {
	if by == 0 {
		return math.NaN()
	}
	return by
}

// outdoor is the temperature of the side where heat comes from or goes to
// outdoors: outdoor air, or else the medium there; brine and water where the
// machine works against these, since the air says little about them.
func outdoor(c *cycle.Circuit, m cycle.Row) float64 {
	side := cycle.CondenserMedium
	if c.System.Kind.Heats() {
		side = cycle.EvaporatorMedium
	}
	switch c.System.Kind {
	case register.GroundHeatPump, register.WaterHeatPump:
		return m[side]
	}
	if math.IsNaN(m[cycle.OutdoorTemp]) {
		return m[side]
	}
	return m[cycle.OutdoorTemp]
}

// other is the temperature on the useful side: the medium there, or the room.
func other(c *cycle.Circuit, m cycle.Row) float64 {
	side := cycle.EvaporatorMedium
	if c.System.Kind.Heats() {
		side = cycle.CondenserMedium
	}
	if math.IsNaN(m[side]) {
		return m[cycle.RoomTemp]
	}
	return m[side]
}

// means are the values of a visit: those of its windows averaged. Instruments err
// alike in all of them, so their part of the uncertainty stays. Superheat and subcooling are
// the means of what was there meanwhile: what is left of the scatter within windows is in
// doubt, how they moved from window to window is not. Of the others, and of what the next
// visit repeats, the scatter of the windows adds its own.
func means(windows []table.Window) table.Visit {
	mean := func(of func(*table.Window) float64) float64 {
		v, _, _, err := robust.Mean(column(windows, of))
		if err != nil {
			return math.NaN()
		}
		return v
	}
	doubt := func(u, of func(*table.Window) float64) float64 {
		_, sd, n, err := robust.Mean(column(windows, of))
		if err != nil || math.IsNaN(sd) {
			return mean(u)
		}
		return math.Hypot(mean(u), sd/math.Sqrt(float64(n)))
	}
	superheat := func(w *table.Window) float64 { return w.Superheat }
	subcooling := func(w *table.Window) float64 { return w.Subcooling }
	superheatU, superheatHalf := meanDoubt(windows, func(w *table.Window) claim { return claim{w.SuperheatU, w.SuperheatHalf, w.SuperheatSpreadU} })
	subcoolingU, subcoolingHalf := meanDoubt(windows, func(w *table.Window) claim { return claim{w.SubcoolingU, w.SubcoolingHalf, w.SubcoolingSpreadU} })
	discharge := func(w *table.Window) float64 { return w.DischargeSuperheat }
	evaporator := func(w *table.Window) float64 { return w.EvaporatorTD }
	condenser := func(w *table.Window) float64 { return w.CondenserTD }
	efficiency := func(w *table.Window) float64 { return w.IsentropicEfficiency }
	cooling := func(w *table.Window) float64 { return w.CoolingCOP }
	heating := func(w *table.Window) float64 { return w.HeatingCOP }
	return table.Visit{
		Superheat: mean(superheat), SuperheatU: superheatU, SuperheatHalf: superheatHalf,
		SuperheatRepeatU:    doubt(func(w *table.Window) float64 { return w.SuperheatRepeatU }, superheat),
		SuperheatCorrection: mean(func(w *table.Window) float64 { return w.SuperheatCorrection }),
		Subcooling:          mean(subcooling), SubcoolingU: subcoolingU, SubcoolingHalf: subcoolingHalf,
		SubcoolingRepeatU:    doubt(func(w *table.Window) float64 { return w.SubcoolingRepeatU }, subcooling),
		SubcoolingCorrection: mean(func(w *table.Window) float64 { return w.SubcoolingCorrection }),
		DischargeSuperheat:   mean(discharge), DischargeU: doubt(func(w *table.Window) float64 { return w.DischargeU }, discharge),
		EvaporatorTD: mean(evaporator), EvaporatorTDU: doubt(func(w *table.Window) float64 { return w.EvaporatorTDU }, evaporator),
		CondenserTD: mean(condenser), CondenserTDU: doubt(func(w *table.Window) float64 { return w.CondenserTDU }, condenser),
		EvaporatingTemp:      mean(func(w *table.Window) float64 { return w.EvaporatingTemp }),
		CondensingTemp:       mean(func(w *table.Window) float64 { return w.CondensingTemp }),
		SuctionPressure:      mean(func(w *table.Window) float64 { return w.SuctionPressure }),
		DischargePressure:    mean(func(w *table.Window) float64 { return w.DischargePressure }),
		LiquidPressure:       mean(func(w *table.Window) float64 { return w.LiquidPressure }),
		SuctionTemp:          mean(func(w *table.Window) float64 { return w.SuctionTemp }),
		DischargeTemp:        mean(func(w *table.Window) float64 { return w.DischargeTemp }),
		LiquidTemp:           mean(func(w *table.Window) float64 { return w.LiquidTemp }),
		IsentropicEfficiency: mean(efficiency), IsentropicEfficiencyU: doubt(func(w *table.Window) float64 { return w.IsentropicEfficiencyU }, efficiency),
		CoolingCOP: mean(cooling), CoolingCOPU: doubt(func(w *table.Window) float64 { return w.CoolingCOPU }, cooling),
		HeatingCOP: mean(heating), HeatingCOPU: doubt(func(w *table.Window) float64 { return w.HeatingCOPU }, heating),
		CarnotFraction: mean(func(w *table.Window) float64 { return w.CarnotFraction }),
		SinkHeat:       mean(func(w *table.Window) float64 { return w.SinkHeat }),
		Power:          mean(func(w *table.Window) float64 { return w.Power }),
		OutdoorTemp:    mean(func(w *table.Window) float64 { return w.OutdoorTemp }),
		RoomTemp:       mean(func(w *table.Window) float64 { return w.RoomTemp }),
		ReceiverLevel:  mean(func(w *table.Window) float64 { return w.ReceiverLevel }),
	}
}

// A claim is what a window says of how well it knows a value: the standard uncertainty, half
// of the interval, and the part of the uncertainty that is of the samples' scatter.
type claim struct{ u, half, spread float64 }

// meanDoubt is the standard uncertainty of the mean of some windows' values, and half of its
// interval, which has the shape of theirs.
func meanDoubt(windows []table.Window, of func(*table.Window) claim) (u, half float64) {
	var instruments, spread, us, halves, n float64
	for i := range windows {
		c := of(&windows[i])
		if math.IsNaN(c.u) {
			continue
		}
		own := robust.OrZero(c.spread)
		instruments, spread = instruments+c.u*c.u-own*own, spread+own*own
		us, halves, n = us+c.u, halves+c.half, n+1
	}
	u = math.Sqrt((instruments + spread/n) / n)
	return u, halves / us * u
}

func column(windows []table.Window, of func(*table.Window) float64) []float64 {
	x := make([]float64, len(windows))
	for i := range windows {
		x[i] = of(&windows[i])
	}
	return x
}
