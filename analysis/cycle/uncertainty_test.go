package cycle

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// Expanded uncertainties (factor 2) of superheat at 0 °C and subcooling at 40 °C with
// sets of instruments, worked by hand from the slopes dp/dT of the saturation lines at
// 0 and 40 °C (bar/K: R134a 0.106 and 0.273, R410A 0.254 and 0.59, R32 0.260 and 0.605,
// R290 0.145 and 0.316; from memory) and rectangular limits of pressure, probe and
// contact (JCGM 100:2008, 4.3.7 and 5.1.2). Rounded to 0.1 K by hand.
func TestExpandedUncertaintyOfInstrumentSets(t *testing.T) {
	refrigerants := []string{"R134a", "R410A", "R32", "R290"}
	for _, set := range []struct {
		name                      string
		low, high, probe, contact float64 // kPa, kPa, K, K
		want                      [4][2]float64
		of                        []string
	}{
		{"laboratory", 6.25, 12.5, 0.2, 0.1, [4][2]float64{{0.7, 0.6}, {0.4, 0.4}, {0.4, 0.4}, {0.6, 0.5}}, refrigerants},
		{"one 60 bar span", 30, 30, 0.5, 0.5, [4][2]float64{{3.4, 1.5}, {1.6, 1.0}, {1.6, 1.0}, {2.5, 1.4}}, refrigerants},
		{"spans 10 and 35 bar", 5, 17.5, 0.5, 0.5, [4][2]float64{{1.0, 1.1}}, refrigerants[:1]},
		{"spans 20 and 70 bar", 10, 35, 0.5, 0.5, [4][2]float64{{0.9, 1.1}, {0.9, 1.1}}, refrigerants[1:3]},
	} {
		for k, name := range set.of {
			c := circuit(t, name)
			row := state(t, c, 0, 40, 5, 5, 70)
			var in Instruments
			in.Limit[SuctionPressure], in.Limit[DischargePressure] = set.low, set.high
			in.Limit[SuctionTemp], in.Limit[LiquidTemp] = set.probe, set.probe
			b, _ := c.Budgets(&row, &in)
			contact := set.contact / math.Sqrt(3)
			within(t, set.name+", superheat of "+name, 2*b[Superheat].With(contact).Standard(), set.want[k][0], 0.1)
			within(t, set.name+", subcooling of "+name, 2*b[Subcooling].With(contact).Standard(), set.want[k][1], 0.1)
		}
	}
}

// JCGM 100:2008, example H.1: the end-gauge's standard uncertainties of 25, 9.7, 2.9,
// 16.6 and 11.7 (second order) nm combine to 32 and, with the last, 34 nm.
func TestBudgetAgainstEndGaugeOfTheGuide(t *testing.T) {
	var b Budget
	for _, u := range []float64{25, 9.7, 2.9, 16.6} {
		b.add(u, normal)
	}
	within(t, "end gauge, first order", b.Standard(), 32, 0.5)
	within(t, "with terms of second order", b.With(11.7).Standard(), 34, 0.5)
}

// JCGM 101:2008, 9.2: four normal inputs of unit variance add up to 2.0 with the
// interval ±3.92; four rectangular ones of unit variance to 2.0 with ±3.88.
func TestBudgetAgainstTheGuidesAdditiveModel(t *testing.T) {
	for _, c := range []struct {
		shape shape
		half  float64
	}{{normal, 3.92}, {rectangular, 3.88}} {
		var b Budget
		for range 4 {
			b.add(1, c.shape)
		}
		within(t, "standard uncertainty", b.Standard(), 2, 1e-12)
		within(t, "half of the 95 % interval", b.Holding(0.95), c.half, 0.04)
	}
}

// Of readings of which one in forty is far off, whatever the instrument's paper says (the
// contamination model of Huber, Ann. Math. Statist. 35 (1964) 73), the stated interval holds
// 95 in 100.
func TestHalfHoldsGrossErrorsToo(t *testing.T) {
	const draws = 200_000
	for _, s := range []shape{normal, rectangular} {
		var b Budget
		b.add(1, s)
		r := rand.New(rand.NewPCG(8, 8))
		held := 0
		for range draws {
			x := r.NormFloat64()
			if s == rectangular {
				x = math.Sqrt(3) * (2*r.Float64() - 1)
			}
			if r.Float64() < 1.0/40 {
				x = 20
			}
			if math.Abs(x) <= b.Half() {
				held++
			}
		}
		within(t, "share of intervals that hold the value", float64(held)/draws, 0.95, 0.002)
	}
}

// Of clamps on pipes 30 K from the air, one in thirty sits badly and takes five times what its
// class does, each by its own half: the stated interval holds 95 in 100 of 200 000 draws
// (JCGM 101:2008, 7.7), and the usual shape of errors alone fewer.
func TestIntervalHoldsClampsThatSitBadly(t *testing.T) {
	const draws, over = 200_000, 30.0
	for _, limit := range []float64{0.1, 0.3, 1} {
		in := Instruments{}
		in.Limit[LiquidTemp], in.Stated[LiquidTemp], in.Named[LiquidTemp], in.Gain[LiquidTemp] = limit, true, true, clampGain(limit)
		b := in.onPipe(LiquidTemp, 20+over, Air{20, 0, true})
		r := rand.New(rand.NewPCG(6, 6))
		held, usual := 0, 0
		for range draws {
			gain := in.Gain[LiquidTemp] * (1 + gainSpread*r.NormFloat64())
			if r.Float64() < sitsBadly {
				gain *= badlyTimes
			}
			x := math.Abs(limit/2*r.NormFloat64() + (gain-in.Gain[LiquidTemp])*over)
			if x <= b.Holding(0.95) {
				held++
			}
			if x <= b.holding(coverOf(0.95)) {
				usual++
			}
		}
		within(t, "share of intervals that hold the value", float64(held)/draws, 0.95, 0.003)
		if share := float64(usual) / draws; share > 0.935 {
			t.Errorf("limit %v K: %.3f without what sits badly, want fewer than 0.935", limit, share)
		}
	}
}

// A pressure sensor's zero creeps by a third of its limit a year after its calibration, and
// what nobody dated counts as a year old (common practice, no source): √(1 + 0.33²) of half of
// the limit after one year, √(1 + 0.99²) after three.
func TestInstrumentsAgeFromTheirCalibration(t *testing.T) {
	gauge := register.NewInstrument("P1")
	gauge.Limit, gauge.Unit = 10, "kPa"
	day := time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		calibrated, at time.Time
		years          float64
	}{
		{day, day, 0}, {day, day.Add(year), 1}, {day, day.Add(3 * year), 3},
		{time.Time{}, day, 1}, {day, day.AddDate(-2, 0, 0), 1},
	} {
		gauge.Calibrated = c.calibrated
		var in Instruments
		in.Name(ProbeOf(SuctionPressure, gauge), c.at)
		within(t, "gauge", in.Doubt(SuctionPressure), 5*math.Hypot(1, 0.33*c.years), 1e-9)
	}
}

// A gauge at a site whose height nobody knows counts from sea level. Heights as people live,
// half of them below 194 m and so on (Cohen and Small 1998, from memory), in the standard
// atmosphere (ISO 2533:1975): what is taken for the uncertainty is their root mean square.
func TestGaugeWithoutAltitude(t *testing.T) {
	c := circuit(t, "R134a")
	c.System.Altitude = math.NaN()
	in := c.Generic()
	r := rand.New(rand.NewPCG(3, 3))
	var squares float64
	const draws = 20_000
	for range draws {
		height := 194 / math.Ln2 * r.ExpFloat64()
		over := 101.325 * (1 - math.Pow(1-2.25577e-5*height, 5.25588))
		squares += over * over / draws
	}
	within(t, "air's pressure", in.Reference[SuctionPressure], math.Sqrt(squares), 0.15)
	alone := in
	alone.Reference[SuctionPressure] = 0
	within(t, "a gauge's reading", in.Doubt(SuctionPressure), math.Hypot(alone.Doubt(SuctionPressure), in.Reference[SuctionPressure]), 1e-12)
	if c.System.Altitude = 0; c.Generic().Reference[SuctionPressure] != 0 {
		t.Error("a known altitude leaves no doubt of the air's pressure")
	}
}

// The first-order propagation and the coverage factor against 100 000 draws through
// the saturation curves themselves (JCGM 101:2008), for rough and good instruments.
func TestUncertaintyAgainstDraws(t *testing.T) {
	const draws = 100_000
	for _, set := range []struct {
		refrigerant string
		low, probe  float64
		stated      bool
	}{
		{"R134a", 5, 0.5, false}, {"R134a", 10, 1, true}, {"R407C", 16, 1, false}, {"R600a", 3, 0.3, false}, {"R410A", 40, 1, false},
	} {
		c := circuit(t, set.refrigerant)
		row := state(t, c, -5, 40, 8, 5, 70)
		row[OutdoorTemp] = 30
		var in Instruments
		in.Limit[SuctionPressure], in.Limit[SuctionTemp] = set.low, set.probe
		in.Stated[SuctionPressure], in.Stated[SuctionTemp] = set.stated, set.stated
		in.Gain[SuctionTemp], in.Named[SuctionTemp] = 0.02, true
		budgets, _ := c.Budgets(&row, &in)
		b := budgets[Superheat]
		r := rand.New(rand.NewPCG(5, 5))
		dew := tangentFree(c, row[SuctionPressure])
		x := make([]float64, draws)
		air := c.around(&row)
		for i := range x {
			g := 0.02 * (1 + gainSpread*r.NormFloat64())
			if r.Float64() < sitsBadly {
				g *= badlyTimes
			}
			contact := g*(air.Temp+air.U*r.NormFloat64()-row[SuctionTemp]) - 0.02*(air.Temp-row[SuctionTemp])
			shown := row[SuctionTemp] + err(r, set.probe, set.stated) + contact - dew(row[SuctionPressure]+err(r, set.low, set.stated))
			x[i] = math.Abs(shown - row[Superheat])
		}
		slices.Sort(x)
		half := x[draws*95/100]
		within(t, set.refrigerant+": half of the 95 % interval over that of draws", b.Holding(0.95)/half, 1, 0.02)
	}
}

// err draws an error of an instrument with a limit.
func err(r *rand.Rand, limit float64, stated bool) float64 {
	if stated {
		return limit / 2 * r.NormFloat64()
	}
	return limit * (2*r.Float64() - 1)
}

// tangentFree is the dew line about a pressure as a parabola through three of its
// points: 100 000 calls of the equations would take minutes.
func tangentFree(c *Circuit, kpa float64) func(float64) float64 {
	const d = 20.0
	a, b, e := c.Dew(kpa-d), c.Dew(kpa), c.Dew(kpa+d)
	return func(p float64) float64 {
		x := (p - kpa) / d
		return b + x*(e-a)/2 + x*x*(a-2*b+e)/2
	}
}

// A probe at -2 °C in air of 26 °C with a gain of 0.02 reads 0.56 K too warm; the
// correction takes that away, and what a calibration says besides.
func TestCorrection(t *testing.T) {
	c := circuit(t, "R134a")
	row := state(t, c, -10, 40, 8, 5, 70)
	row[OutdoorTemp] = 30 // air around the pipes: 26 °C
	c.Complete(&row)
	shown := row
	shown[SuctionTemp] += 0.02*(26-row[SuctionTemp]) + 0.3
	c.Complete(&shown)
	var in Instruments
	in.Gain[SuctionTemp], in.Named[SuctionTemp], in.Offset[SuctionTemp] = 0.02, true, 0.3
	got, by := c.Corrected(shown, &in)
	within(t, "superheat", got[Superheat], row[Superheat], 1e-9)
	within(t, "correction", by[Superheat], -0.02*28-0.3, 1e-9)
	shown[OutdoorTemp] = math.NaN()
	if got, _ := c.Corrected(shown, &in); math.Abs(got[SuctionTemp]-(shown[SuctionTemp]-0.3)) > 1e-9 {
		t.Error("where the air is not known, only the calibration is taken off")
	}
}
