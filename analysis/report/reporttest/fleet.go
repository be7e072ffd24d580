// Package reporttest invents a fleet to draw reports from: machines, places and
// figures of a world that does not exist. The same seed gives the same fleet.
//
// It knows nothing of the analysis: trends and findings are written down as the
// tables would hold them, so that pages can be tested without a run.
package reporttest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/analysis/report"
	"rimelog/pipeline"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// AsOf is the day the invented fleet is looked at.
var AsOf = time.Date(2025, 10, 6, 0, 0, 0, 0, time.UTC)

// Zone is the zone of the invented places: half an hour off every real one, so
// that a time in another zone shows.
var Zone = time.FixedZone("Quillhaven", 90*60+15*60)

// plan is what an invented machine is and what goes wrong with it.
type plan struct {
	id, name, site, refrigerant string
	kind                        register.Kind
	evaporating, superheat      float64
	subcooling                  float64
	visits                      int
	every                       time.Duration
	subcoolingPerYear           float64
	condenserPerYear            float64
	repaired                    int // visit after which all is as new; 0 for never
	spots                       int // how many of the last visits are spots
	minutes                     int // length of the latest log
	dischargeUnknown            bool
	waterCooled                 bool // only the water entering the condenser was logged
}

var plans = []plan{
	{id: "QH-CR2", name: "Cold room 2", site: "Harrow Quay Fish Hall", refrigerant: "R134a", kind: register.ColdRoom, evaporating: -9, superheat: 7, subcooling: 6.5, visits: 15, every: 62 * day, subcoolingPerYear: -1.7, condenserPerYear: 0.9, repaired: 5, minutes: 68},
	{id: "FD-CH1", name: "Milk chiller 1", site: "Fennmoor Dairy", refrigerant: "R290", kind: register.Chiller, evaporating: -4, superheat: 6, subcooling: 5, visits: 13, every: 75 * day, condenserPerYear: 2.1, minutes: 74},
	{id: "TO-AC3", name: "Bakehouse air conditioning", site: "Tallow Row Bakery", refrigerant: "R32", kind: register.AirConditioning, evaporating: 7, superheat: 8, subcooling: 7, visits: 9, every: 95 * day, subcoolingPerYear: -0.9, minutes: 41},
	{id: "HQ-ICE", name: "Ice store", site: "Harrow Quay Fish Hall", refrigerant: "R717", kind: register.ColdRoom, evaporating: -14, superheat: 5, subcooling: 3, visits: 12, every: 80 * day, minutes: 90},
	{id: "LM-HP1", name: "Laundry heat pump", site: "Larkmead Baths", refrigerant: "R744", kind: register.WaterHeatPump, evaporating: -2, superheat: 9, subcooling: 4, visits: 7, every: 110 * day, minutes: 52, dischargeUnknown: true},
	{id: "LM-PK1", name: "Pack, pool hall", site: "Larkmead Baths", refrigerant: "R134a", kind: register.Pack, evaporating: -3, superheat: 8, subcooling: 4.5, visits: 160, every: day, minutes: 1440},
	{id: "FD-CH2", name: "Milk chiller 2", site: "Fennmoor Dairy", refrigerant: "R290", kind: register.Chiller, evaporating: -4, superheat: 6, subcooling: 5, visits: 13, every: 75 * day, minutes: 60},
	{id: "WB-DC1", name: "Display cabinet, aisle 4", site: "Wren Bridge Stores", refrigerant: "R290", kind: register.DisplayCabinet, evaporating: -8, superheat: 5, subcooling: 4, visits: 8, every: 100 * day, minutes: 45},
	{id: "WB-DC2", name: "Display cabinet, aisle 5", site: "Wren Bridge Stores", refrigerant: "R290", kind: register.DisplayCabinet, evaporating: -8, superheat: 5, subcooling: 4, visits: 2, every: 100 * day, minutes: 45},
	{id: "BENCH", name: "Training bench", site: "Quillhaven Trade School", refrigerant: "R134a", kind: register.OtherKind, evaporating: -5, superheat: 4, subcooling: 8, visits: 1, every: day, spots: 1, minutes: 4, waterCooled: true},
	{id: "GH-FR1", name: "Freezer room, cellar", site: "Gullhouse Inn", refrigerant: "", kind: register.FreezerRoom},
}

const day = 24 * time.Hour

// Fleet returns the invented fleet of a seed.
func Fleet(seed uint64) report.Fleet {
	f := report.Fleet{AsOf: AsOf, Uploads: uploads(), Quality: problems(), Verdicts: verdicts(), LogQuality: logQuality(), Made: Made()}
	for i, p := range plans {
		s := p.system(rand.New(rand.NewPCG(seed, uint64(i))))
		for _, p := range f.Quality {
			if p.System == s.Register.ID {
				s.Quality = append(s.Quality, p)
			}
		}
		f.Systems = append(f.Systems, s)
		f.Findings = append(f.Findings, s.Findings...)
	}
	addEnergy(&f)
	f.Records = books(f)
	f.RuleSets = ruleSets()
	return f
}

// Made is what the invented pages are made from.
func Made() report.Made {
	return report.Made{
		AsOf:  AsOf,
		Steps: []pipeline.Step{{Name: "join", Version: 2}, {Name: "windows", Version: 1}, {Name: "judge", Version: 3}, {Name: "page", Version: 1}},
		Inputs: []report.Input{
			{Name: "visits/system=QH-CR2/data.parquet", SHA256: "6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b"},
			{Name: "findings/data.parquet", SHA256: "d4735e3a265e16eee03f59718b9b5d03019c07d8b6c51f90da3a666eec13ab35"},
		},
	}
}

func (p plan) system(rng *rand.Rand) report.System {
	s := report.System{Register: p.register()}
	for i := range p.visits {
		at := AsOf.Add(-time.Duration(p.visits-1-i)*p.every - 3*day + 7*time.Hour + time.Duration(i%5)*time.Hour)
		s.Visits = append(s.Visits, p.visit(rng, i, at))
	}
	if p.repaired > 0 {
		v := s.Visits[p.repaired]
		s.Events = append(s.Events, register.Event{System: p.id, Time: v.Start.Add(2 * time.Hour), HasTime: true, Kind: register.Repaired, KG: math.NaN(), Note: "flare nut at the receiver"},
			register.Event{System: p.id, Time: v.Start.Add(3 * time.Hour), HasTime: true, Kind: register.ChargeAdded, KG: 1.4, Refrigerant: p.refrigerant})
		s.Events = append(s.Events, register.Event{System: p.id, Time: s.Visits[9].Start, Kind: register.DirectLeakCheck, KG: math.NaN(), Result: "nothing found"})
	}
	s.Trends, s.Findings = p.judge(s.Visits)
	if p.repaired > 0 {
		s.Findings = append(s.Findings, p.closed(s.Visits))
	}
	if p.visits > 0 {
		s.Log, s.Windows = p.log(rng, s.Visits[p.visits-1])
	}
	if p.id == "FD-CH1" {
		s.Partly = uploads()[1:2]
		s.Refusals = []table.Refusal{
			{Upload: "aa02", FirstLine: 40, LastLine: 51, Reason: "the clocks of Quillhaven show this hour twice and nothing tells which is meant", Text: "2025-10-03 02:00:00;3.1;7.2"},
			{Upload: "aa02", FirstLine: 7, LastLine: 23, Channel: "liquid_temp", Reason: "its unit is not the column's, °C", Text: "-50.0", Cells: 17},
		}
	}
	return s
}

func (p plan) register() register.System {
	r := register.NewSystem(p.id)
	r.Name, r.Site, r.Kind, r.RefrigerantName = p.name, p.site, p.kind, p.refrigerant
	r.Zone = Zone
	r.Charge = register.Charge{KG: 6.5, Source: register.ChargeKnown}
	r.Expansion, r.Receiver = register.Thermostatic, register.HighSideReceiver
	r.Hermetic, r.HeadPressureControl = table.No, table.Yes
	r.DesignSuperheat, r.Altitude = p.superheat, 120
	return r
}

// visit is what a visit of the machine shows at that day's weather.
func (p plan) visit(rng *rand.Rand, i int, at time.Time) table.Visit {
	outdoor := 12 - 11*math.Cos(2*math.Pi*float64(at.YearDay()-20)/365) + 2*rng.NormFloat64()
	from := 0
	if p.repaired > 0 && i > p.repaired {
		from = p.repaired
	}
	years := float64(i-from) * p.every.Hours() / 24 / 365.25
	td := 11 + p.condenserPerYear*years + 0.25*rng.NormFloat64()
	condensing := outdoor + 14 + td
	if p.refrigerant == "R744" {
		condensing = min(condensing-14, 27)
	}
	v := table.Visit{
		Start: at, End: at.Add(time.Duration(40+rng.IntN(40)) * time.Minute), Part: "whole", Use: "trend", Samples: 700, Running: 50, Windows: 3,
		Superheat: p.superheat + 0.5*rng.NormFloat64() - 0.25*p.subcoolingPerYear*years, SuperheatU: 0.55,
		Subcooling: max(0.4, p.subcooling+0.07*(outdoor-12)+p.subcoolingPerYear*years+0.3*rng.NormFloat64()), SubcoolingU: 0.4,
		EvaporatingTemp: p.evaporating + 0.4*rng.NormFloat64(), CondensingTemp: condensing, CondenserTD: td, CondenserTDU: 0.45,
		EvaporatorTD: 8 + 0.3*rng.NormFloat64(), EvaporatorTDU: 0.6, OutdoorTemp: outdoor, RoomTemp: 4, Instruments: "P-1042 T-2210",
		LiquidPressure: math.NaN(), IsentropicEfficiency: 0.66, CoolingCOP: 3.1, HeatingCOP: 4.0, CarnotFraction: 0.5, SinkHeat: math.NaN(), Power: 2.4,
	}
	v.SuctionTemp, v.LiquidTemp = v.EvaporatingTemp+v.Superheat, condensing-v.Subcooling
	v.DischargeTemp, v.DischargeSuperheat, v.DischargeU = condensing+31, 31, 0.9
	if p.dischargeUnknown {
		v.DischargeTemp, v.DischargeSuperheat, v.DischargeU = math.NaN(), math.NaN(), math.NaN()
	}
	v.SuctionPressure, v.DischargePressure = p.pressures(v.EvaporatingTemp, condensing)
	p.grade(i, &v)
	v.SubcoolingRepeatU, v.SuperheatRepeatU = v.SubcoolingU/3, v.SuperheatU/3
	return v
}

func (p plan) grade(i int, v *table.Visit) {
	switch {
	case i >= p.visits-p.spots:
		v.Use, v.Reason, v.Windows = "spot", fmt.Sprintf("%d minutes: too short to judge a trend", p.minutes), 1
		v.End = v.Start.Add(time.Duration(p.minutes) * time.Minute)
	case p.visits > 10 && i == 3:
		v.Use, v.Reason = "none", "liquid probe fell off"
	case p.visits > 10 && p.every > day && i == 8:
		v.Use, v.Reason = "spot", "8 minutes, 6 of them running: too short for a window"
	case i == p.repaired && p.repaired > 0:
		v.Part = "as found"
	}
}

// pressures are those of the saturation temperatures; NaN for a refrigerant that
// has no name.
func (p plan) pressures(evaporating, condensing float64) (low, high float64) {
	r, err := thermo.Lookup(p.refrigerant)
	if err != nil {
		return math.NaN(), math.NaN()
	}
	a, err1 := r.DewP(thermo.FromCelsius(evaporating))
	b, err2 := r.DewP(thermo.FromCelsius(condensing))
	if err1 != nil || err2 != nil {
		panic(fmt.Sprint("reporttest: ", err1, err2)) // the plans hold no such state
	}
	return float64(a) / 1000, float64(b) / 1000
}
