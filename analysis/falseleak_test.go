package analysis

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/trust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A season is visits every two weeks over two and a half years to a machine that is
// well: subcooling 6 K, an outdoor temperature that swings by 12 K about 12 °C.
func season(change func(n int, v *table.Visit)) []table.Visit {
	r := rand.New(rand.NewPCG(8, 8))
	var list []table.Visit
	start := time.Date(2022, 4, 4, 9, 0, 0, 0, time.UTC)
	for n := range 65 {
		at := start.AddDate(0, 0, 14*n)
		out := 12 + 12*math.Sin(2*math.Pi*float64(at.YearDay()-110)/365) + 2*r.NormFloat64()
		v := table.Visit{
			Start: at, End: at.Add(time.Hour), Part: table.Whole, Use: table.UseTrend, Samples: 240, Running: 60, Windows: 10,
			Instruments: "A", Superheat: 8 + 0.4*r.NormFloat64(), SuperheatU: 0.5, Subcooling: 6 + 0.4*r.NormFloat64(), SubcoolingU: 0.5,
			EvaporatingTemp: -8, CondensingTemp: math.Max(27, out+12), DischargeSuperheat: 35 + 0.8*r.NormFloat64(), DischargeU: 0.6,
			EvaporatorTD: 8 + 0.3*r.NormFloat64(), EvaporatorTDU: 0.5, OutdoorTemp: out, RoomTemp: 0,
			ReceiverLevel: math.NaN(), SuctionPressure: math.NaN(), DischargePressure: math.NaN(), LiquidPressure: math.NaN(), SuctionTemp: math.NaN(), DischargeTemp: math.NaN(), LiquidTemp: math.NaN(),
			IsentropicEfficiency: math.NaN(), CoolingCOP: math.NaN(), HeatingCOP: math.NaN(), CarnotFraction: math.NaN(), SinkHeat: math.NaN(), Power: math.NaN(),
		}
		v.CondenserTD, v.CondenserTDU = v.CondensingTemp-out+0.3*r.NormFloat64(), 0.5
		if change != nil {
			change(n, &v)
		}
		list = append(list, v)
	}
	return list
}

func machineWithoutLeak() register.System {
	s := register.NewSystem("CR-01")
	s.Kind, s.RefrigerantName, s.Expansion, s.Receiver = register.ColdRoom, "R448A", register.Thermostatic, register.NoReceiver
	s.Subcooler, s.InternalHeatExchanger, s.HeadPressureControl = table.No, table.No, table.Yes
	return s
}

// What is known to look like a leak and is none, as far as it shows over visits. Common
// practice, no source; sizes are those of the trade's own examples.
func TestFalseLeaks(t *testing.T) {
	cold := func(v *table.Visit) bool { return v.OutdoorTemp < 8 }
	event := func(kind register.EventKind, n int) []register.Event {
		return []register.Event{{System: "CR-01", Kind: kind, Time: time.Date(2022, 4, 3, 12, 0, 0, 0, time.UTC).AddDate(0, 0, 14*n), HasTime: true, KG: 0.4}}
	}
	for name, c := range map[string]struct {
		change func(n int, v *table.Visit)
		heats  func(v *table.Visit) bool
		events []register.Event
		leaks  bool
	}{
		"a leak, so that the others say something": {leaks: true, change: func(n int, v *table.Visit) {
			gone := 0.1 * math.Max(0, float64(n-25))
			v.Subcooling, v.Superheat = v.Subcooling-gone, v.Superheat+gone/2
		}},
		"nothing at all": {},
		"head pressure at its floor": {change: func(_ int, v *table.Visit) {
			if v.OutdoorTemp < 15 {
				v.Subcooling -= 0.12 * (15 - v.OutdoorTemp)
			}
		}},
		"fans that hunt about their floor": {change: func(n int, v *table.Visit) {
			if v.OutdoorTemp < 15 { // a visit catches any part of the swing, and more of it the colder it is
				swing := 2 * math.Sin(2.4*float64(n)) * math.Min(1, (15-v.OutdoorTemp)/10)
				v.CondensingTemp, v.CondenserTD, v.Subcooling = v.CondensingTemp+swing, v.CondenserTD+swing, v.Subcooling+0.7*swing
			}
		}},
		"heating from autumn on": {heats: cold, change: func(_ int, v *table.Visit) {
			if cold(v) {
				v.Subcooling -= 4
			}
		}},
		"first cold week": {change: func(n int, v *table.Visit) {
			if n == 16 {
				v.OutdoorTemp, v.Subcooling = -12, v.Subcooling-2
			}
		}},
		"filter drier changed": {events: event(register.PartChanged, 30), change: func(n int, v *table.Visit) {
			if n >= 30 {
				v.Subcooling -= 1.2
			}
		}},
		"liquid measured at the valve, 10 m higher, from the second year on": {change: func(n int, v *table.Visit) {
			if n >= 30 {
				v.LiquidPressure, v.Subcooling = 1300, v.Subcooling-2.6 // 108 kPa of liquid; R448A at 40 °C: 42 kPa/K
			}
		}},
		"liquid measured now here, now at the valve": {change: func(n int, v *table.Visit) {
			if n%3 == 1 {
				v.LiquidPressure, v.Subcooling = 1300, v.Subcooling-2.6
			}
		}},
		"blend topped up with vapour": {events: event(register.ChargeAdded, 30), change: func(n int, v *table.Visit) {
			if n >= 30 {
				v.Subcooling -= 1
				v.Superheat -= 0.5
			}
		}},
	} {
		visits := season(c.change)
		var facts []trust.Facts
		for _, v := range visits {
			f := trust.Facts{Start: v.Start.UnixMicro(), End: v.End.UnixMicro()}
			if c.heats != nil && c.heats(&v) {
				f.Mode = trust.Heating
			}
			facts = append(facts, f)
		}
		hide(visits, facts)
		s, o := machineWithoutLeak(), drift.Options{}
		asOf := visits[len(visits)-1].Start
		found := drift.Findings(s, c.events, nil, drift.Judge(s, c.events, visits, o), drift.Causes(s, c.events, visits, o), asOf, o)
		leak := slices.IndexFunc(found, func(f table.Finding) bool { return f.Kind == drift.ChargeLoss })
		switch {
		case leak >= 0 && !c.leaks:
			t.Errorf("%s: %s raised on %s: %s", name, found[leak].Kind, found[leak].RaisedOn.Format(time.DateOnly), found[leak].Evidence)
		case leak < 0 && c.leaks:
			t.Errorf("%s: not found", name)
		}
	}
}
