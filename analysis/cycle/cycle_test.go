package cycle

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

func circuit(t testing.TB, refrigerant string) *Circuit {
	t.Helper()
	s := register.NewSystem("test")
	s.RefrigerantName = refrigerant
	c, err := NewCircuit(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", what, got, want, tol)
	}
}

// columns makes a stretch of samples a second apart.
func columns(values map[Quantity][]float64) *Columns {
	c := &Columns{}
	for q, v := range values {
		c.Values[q] = v
		c.Time = make([]int64, len(v))
	}
	for i := range c.Time {
		c.Time[i] = int64(i) * 1e6
	}
	return c
}

const atmosphere = 101.325 // kPa

func TestFieldReadings(t *testing.T) {
	c := circuit(t, "R134a")
	s := columns(map[Quantity][]float64{
		SuctionPressure: {260 + atmosphere}, SuctionTemp: {15.9},
		DischargePressure: {870 + atmosphere}, LiquidTemp: {36.7},
	})
	if lacks := c.Derive(s, 0, s.Rows()); len(lacks) > 0 {
		t.Fatalf("could not work out %v", lacks)
	}
	// A field reading, common practice, no source; tolerance from the printed digits.
	within(t, "superheat", s.At(Superheat, 0), 9.6, 0.5)
	within(t, "subcooling", s.At(Subcooling, 0), 1.6, 0.3)
}

// Superheat is counted from the dew line and subcooling from the bubble line.
func TestSidesOfTheSaturationLines(t *testing.T) {
	c := circuit(t, "R290")
	dew, err := c.Refrigerant.DewT(400e3)
	if err != nil {
		t.Fatal(err)
	}
	bubble, err := c.Refrigerant.BubbleT(1500e3)
	if err != nil {
		t.Fatal(err)
	}
	s := columns(map[Quantity][]float64{
		SuctionPressure: {400}, SuctionTemp: {dew.Celsius() + 7},
		DischargePressure: {1600}, LiquidPressure: {1500}, LiquidTemp: {bubble.Celsius() - 4},
		DischargeTemp: {75}, OutdoorTemp: {30}, RoomTemp: {6},
	})
	c.Derive(s, 0, s.Rows())
	within(t, "superheat", s.At(Superheat, 0), 7, 1e-9)
	within(t, "subcooling from the liquid line's own pressure", s.At(Subcooling, 0), 4, 1e-9)
	within(t, "condenser difference", s.At(CondenserTD, 0), s.At(Condensing, 0)-30, 1e-9)
	within(t, "evaporator difference", s.At(EvaporatorTD, 0), 6-dew.Celsius(), 1e-9)
	within(t, "pressure ratio", s.At(PressureRatio, 0), 4, 1e-9)
}

// A heat pump takes its heat from outdoors and gives it to water.
func TestHeatPumpSwapsItsMedia(t *testing.T) {
	c := circuit(t, "R290")
	c.System.Kind = register.AirHeatPump
	s := columns(map[Quantity][]float64{
		SuctionPressure: {400}, DischargePressure: {1600}, OutdoorTemp: {7}, SinkInlet: {30}, RoomTemp: {21},
	})
	c.Derive(s, 0, s.Rows())
	within(t, "evaporator medium", s.At(EvaporatorMedium, 0), 7, 0)
	within(t, "condenser medium", s.At(CondenserMedium, 0), 30, 0)
}

func TestWhatCannotBeWorkedOutIsAReason(t *testing.T) {
	nan := math.NaN()
	c := circuit(t, "R134a")
	s := columns(map[Quantity][]float64{
		SuctionPressure: {350, -5, nan, 350}, SuctionTemp: {15, 15, 15, nan}, DischargePressure: {1000, 1000, 1000, 9000},
	})
	lacks := c.Derive(s, 0, s.Rows())
	want := map[Quantity]string{Evaporating: "gauge or absolute", Condensing: "critical", PressureRatio: "gauge or absolute"}
	for _, l := range lacks {
		if !strings.Contains(l.Reason, want[l.Quantity]) || want[l.Quantity] == "" || l.Rows != 1 {
			t.Errorf("unexpected lack: %+v", l)
		}
		delete(want, l.Quantity)
	}
	if len(want) > 0 {
		t.Errorf("no reason given for %v", want)
	}
	for i, gap := range []bool{false, true, true, true} {
		if math.IsNaN(s.At(Superheat, i)) != gap {
			t.Errorf("row %d: superheat %v, want a gap: %v", i, s.At(Superheat, i), gap)
		}
	}
	if s.Has(Subcooling) {
		t.Error("subcooling without a liquid temperature: want no column")
	}
}

func TestUnknownRefrigerant(t *testing.T) {
	s := register.NewSystem("test")
	c, err := NewCircuit(s)
	if err != nil {
		t.Fatal(err)
	}
	cols := columns(map[Quantity][]float64{SuctionPressure: {350}, DischargePressure: {1000}, SuctionTemp: {15}})
	lacks := c.Derive(cols, 0, cols.Rows())
	if len(lacks) != 2 || !strings.Contains(lacks[0].Reason, "refrigerant") {
		t.Errorf("got %+v, want two lacks that name the refrigerant", lacks)
	}
	within(t, "pressure ratio needs no refrigerant", cols.At(PressureRatio, 0), 1000.0/350, 1e-12)
	s.RefrigerantName = "R9999"
	if _, err := NewCircuit(s); err == nil {
		t.Error("an unknown refrigerant gives no error")
	}
}

// state is a row of means of a simple machine.
func state(t testing.TB, c *Circuit, evaporating, condensing, superheat, subcooling, discharge float64) Row {
	t.Helper()
	low, err := c.Refrigerant.DewP(thermo.FromCelsius(evaporating))
	if err != nil {
		t.Fatal(err)
	}
	high, err := c.Refrigerant.DewP(thermo.FromCelsius(condensing))
	if err != nil {
		t.Fatal(err)
	}
	r := NewRow()
	r[SuctionPressure], r[DischargePressure] = float64(low)/1000, float64(high)/1000
	r[Evaporating], r[Condensing] = evaporating, condensing
	r[SuctionTemp], r[DischargeTemp] = evaporating+superheat, discharge
	r[Superheat], r[Subcooling], r[LiquidTemp] = superheat, subcooling, condensing-subcooling
	return r
}

// An isentropic R134a cycle between 0 and 40 °C with saturated suction gas and
// 30 K of subcooling has a COP of 7.15, above Carnot's 6.83 between these
// temperatures; so a Carnot fraction with a subcooler says nothing. The liquid
// stays above the air that enters the condenser unless there is one.
func TestCarnotFractionIsNotGivenWithASubcooler(t *testing.T) {
	c := circuit(t, "R134a")
	suction, err := c.Refrigerant.DewAt(pascalOf(t, c, 0))
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.Refrigerant.AtPS(pascalOf(t, c, 40), suction.Entropy)
	if err != nil {
		t.Fatal(err)
	}
	row := state(t, c, 0, 40, 0.001, 30, out.T.Celsius())
	row[CondenserMedium] = 5
	c.Compressor(&row)
	within(t, "COP with 30 K of subcooling", row[CoolingCOP], 7.15, 0.02)
	within(t, "Carnot fraction above 1", row[CarnotFraction], 7.15/6.83, 0.01)

	for name, change := range map[string]func(*Row){
		"subcooler in the register":   func(*Row) { c.System.Subcooler = table.Yes },
		"liquid colder than the air":  func(r *Row) { c.System.Subcooler = table.Unknown; r[CondenserMedium] = 25 },
		"lift below 8 K":              func(r *Row) { *r = state(t, c, 20, 27, 5, 4, 45) },
		"no subcooling: flash gas":    func(r *Row) { r[Subcooling] = -0.5 },
		"suction gas not superheated": func(r *Row) { r[SuctionTemp] = r[Evaporating] - 1 },
	} {
		row := state(t, c, 0, 40, 0.001, 30, out.T.Celsius())
		row[CondenserMedium] = 5
		change(&row)
		if lacks := c.Compressor(&row); len(lacks) == 0 || !math.IsNaN(row[CarnotFraction]) {
			t.Errorf("%s: Carnot fraction %v, reasons %v; want none, with a reason", name, row[CarnotFraction], lacks)
		}
	}
}

func pascalOf(t testing.TB, c *Circuit, celsius float64) thermo.Pascal {
	t.Helper()
	p, err := c.Refrigerant.DewP(thermo.FromCelsius(celsius))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Isentropic compression has an efficiency of 1; heating COP is cooling COP + 1
// because nothing leaves the gas on the way.
func TestCompressorLaws(t *testing.T) {
	c := circuit(t, "R290")
	for _, superheat := range []float64{2, 8, 20} {
		row := state(t, c, -10, 40, superheat, 5, 0)
		in, err := c.Refrigerant.At(pascal(row[SuctionPressure]), thermo.FromCelsius(row[SuctionTemp]))
		if err != nil {
			t.Fatal(err)
		}
		out, err := c.Refrigerant.AtPS(pascal(row[DischargePressure]), in.Entropy)
		if err != nil {
			t.Fatal(err)
		}
		row[DischargeTemp] = out.T.Celsius()
		c.Compressor(&row)
		within(t, "isentropic efficiency", row[IsentropicEfficiency], 1, 1e-6)
		within(t, "heating less cooling COP", row[HeatingCOP]-row[CoolingCOP], 1, 1e-9)
		row[DischargeTemp] += 15
		c.Compressor(&row)
		if row[IsentropicEfficiency] > 0.9 {
			t.Errorf("15 K hotter discharge: efficiency %.2f, want below 0.9", row[IsentropicEfficiency])
		}
	}
}

func TestGenericClassFitsTheRefrigerant(t *testing.T) {
	for refrigerant, want := range map[string][2]float64{ // kPa: 1 % of span
		"R134a": {10, 25}, "R290": {10, 25}, "R32": {25, 60}, "R744": {100, 160},
	} {
		in := circuit(t, refrigerant).Generic()
		if in.Limit[SuctionPressure] != want[0] || in.Limit[DischargePressure] != want[1] {
			t.Errorf("%s: limits %v and %v kPa, want %v", refrigerant, in.Limit[SuctionPressure], in.Limit[DischargePressure], want)
		}
	}
}

func TestNamedInstrument(t *testing.T) {
	in := circuit(t, "R134a").Generic()
	gauge := register.NewInstrument("P1")
	gauge.LimitPercent, gauge.SpanLow, gauge.SpanHigh, gauge.Unit = 0.5, 0, 60, "bar"
	if !in.Name(ProbeOf(SuctionPressure, gauge), time.Time{}) {
		t.Fatal("0.5 % of 60 bar is not taken")
	}
	within(t, "limit in kPa", in.Limit[SuctionPressure], 30, 1e-9)
	probe := register.NewInstrument("T1")
	probe.Limit, probe.Unit = 0.9, "°F"
	if !in.Name(ProbeOf(SuctionTemp, probe), time.Time{}) {
		t.Fatal("±0.9 °F is not taken")
	}
	within(t, "limit in K", in.Limit[SuctionTemp], 0.5, 1e-9)
	probe.Limit, probe.Class, probe.Offset = math.NaN(), "IEC 60751 class B", 1.8
	if !in.Name(ProbeOf(LiquidTemp, probe), time.Time{}) {
		t.Fatal("class B of IEC 60751 is not taken")
	}
	within(t, "limit of class B at 50 °C", in.Limit[LiquidTemp], 0.55, 1e-9)
	within(t, "offset in K", in.Offset[LiquidTemp], 1, 1e-9)
	if in.Name(ProbeOf(SuctionPressure, probe), time.Time{}) {
		t.Error("a thermometer is taken for a pressure gauge")
	}
}

func TestWater(t *testing.T) {
	// NIST/IAPWS densities of water at atmospheric pressure, from memory, kg/m³.
	for at, want := range map[float64]float64{4: 999.97, 20: 998.21, 50: 988.05, 60: 983.2} {
		within(t, "density", waterDensity(at), want, 0.05)
	}
	// 1 m³/h of water warmed by 5 K at 40 °C takes up 5.75 kW: 992.2 kg/m³, 4.179 kJ/(kg K).
	kw, err := WaterHeat(1, 37.5, 42.5)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "heat", kw, 992.2*4.179*5/3600, 0.01)
	if _, err := WaterHeat(1, 95, 105); err == nil {
		t.Error("water at 105 °C gives no error")
	}
	if kw, err := WaterHeat(math.NaN(), 20, 30); err != nil || !math.IsNaN(kw) {
		t.Errorf("a gap gives %v, %v; want a gap", kw, err)
	}
}

func TestReadKeepsGapsAndReusesMemory(t *testing.T) {
	b := frame.NewBuilder(table.Samples(), 2)
	at, p := b.Column("time"), b.Column("suction_pressure_kpa")
	run := b.Column("running")
	at.Int64(1)
	p.Int32(361325)
	run.State(table.Yes)
	at.Int64(2)
	p.Null()
	run.State(table.Unknown)
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	c := Read(f, nil)
	if c.Rows() != 2 || c.At(SuctionPressure, 0) != 361.325 || !math.IsNaN(c.At(SuctionPressure, 1)) {
		t.Errorf("got %v", c.Values[SuctionPressure])
	}
	if c.Has(DischargePressure) || c.Running[0] != table.Yes || c.Running[1] != table.Unknown || c.Defrost != nil {
		t.Errorf("got running %v, defrost %v", c.Running, c.Defrost)
	}
	first := &c.Values[SuctionPressure][0]
	if again := Read(f, c); &again.Values[SuctionPressure][0] != first {
		t.Error("the columns' memory is not reused")
	}
}

// BenchmarkDerive derives a month of samples every minute, pressures in steps of
// 1 kPa, and reports rows per second.
func BenchmarkDerive(b *testing.B) {
	c := circuit(b, "R134a")
	n := 43200
	s := columns(map[Quantity][]float64{
		SuctionPressure: make([]float64, n), DischargePressure: make([]float64, n),
		SuctionTemp: make([]float64, n), DischargeTemp: make([]float64, n), LiquidTemp: make([]float64, n),
	})
	for i := range n {
		s.Values[SuctionPressure][i] = float64(250 + i%50)
		s.Values[DischargePressure][i] = float64(900 + i%300)
	}
	b.ResetTimer()
	for b.Loop() {
		c.Derive(s, 0, n)
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

// The liquid before the valve may have lost pressure and warmth on its way: a lift of
// 10 m takes 1 bar off R404A and with it 2 K of subcooling (common practice, no source).
// Its temperature is not set against the condenser's pressure.
func TestSubcoolingIsNotTakenAtTheValve(t *testing.T) {
	for _, name := range Needed() {
		if name == "valve_inlet_temp_c" {
			t.Error("the valve's inlet temperature is read as if it were the condenser's outlet")
		}
	}
	s := columns(map[Quantity][]float64{SuctionPressure: {300}, DischargePressure: {1500}, SuctionTemp: {5}})
	circuit(t, "R404A").Derive(s, 0, 1)
	if s.Has(Subcooling) {
		t.Error("subcooling without a liquid temperature")
	}
}
