package drift

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// condenserAt is where a condenser stands whose fans slow down with the condensing
// temperature: heat = conductance x difference, and conductance as a cross-flow coil's whose
// outside coefficient goes with the root of the air's speed, C (1 - exp(-UA/C)) (Kays &
// London, Compact Heat Exchangers, 3rd ed. 1984, table 2-2), by bisection.
func condenserAt(outdoor, heat, lost float64) (condensing float64) {
	low, high := outdoor, outdoor+100
	for range 60 {
		condensing = (low + high) / 2
		flow := math.Max(0.12, math.Min(1, 0.12+0.88*(condensing-30)/7)) * (1 - lost)
		capacity, ua := flow, 1.0*math.Sqrt(flow)
		if capacity*(1-math.Exp(-ua/capacity))*(condensing-outdoor) < heat {
			low = condensing
		} else {
			high = condensing
		}
	}
	return condensing
}

// seasons are points of a machine that loses a share of its condenser's air a year from a
// time on, without noise.
func seasons(n int, from, lost float64) []*point {
	start := time.Date(2021, 1, 10, 12, 0, 0, 0, time.UTC)
	var out []*point
	for i := range n {
		t := float64(i) / 12
		outdoor := 12 - 12*math.Cos(2*math.Pi*t)
		tc := condenserAt(outdoor, 7, lost*math.Max(0, t-from))
		out = append(out, &point{
			at: start.Add(time.Duration(t * year)), outdoor: outdoor, condensing: tc, evaporating: -8, room: 3,
			power: math.NaN(), values: []float64{5, 7, tc - outdoor, 11, 30}, doubts: make([]float64, 5),
		})
	}
	return out
}

func fanned() register.System {
	s := register.NewSystem("fans")
	s.Kind, s.HeadPressureControl = register.ColdRoom, table.Yes
	return s
}

// A coil's difference swings by twenty kelvins with the season where fans hold head pressure
// up; against where the same coil would stand when it is clean it does not.
func TestFansAreTakenOutOfACondenser(t *testing.T) {
	points := seasons(24, 9, 0)
	b := bandOf(fanned(), points)
	if math.Abs(b.middle-33.5) > 1.5 || b.width < 4 || b.width > 10 {
		t.Errorf("the band is %.1f K about %.1f °C, want about 7 K about 33.5 °C", b.width, b.middle)
	}
	tr := track{space: &robust.Workspace{}}
	tr.belief.Y, tr.t = make([]float64, len(points)), make([]float64, len(points))
	tr.exchange(b, gauges(fanned())[2], points)
	for i, p := range points {
		if math.Abs(tr.belief.Y[i]) > 1.2 {
			t.Errorf("at %.1f °C outdoors the clean coil lies %.2f K off, want within 1.2 K of %.1f K", p.outdoor, tr.belief.Y[i], p.values[atCondenser])
		}
	}
}

// A coil's heat by kelvin, C (1 - exp(-UA/C)), of one transfer unit with full flow: with a
// quarter of the air UA halves, and 0.25 (1 - exp(-2)) is left of 1 - exp(-1) (Kays & London,
// Compact Heat Exchangers, 3rd ed. 1984, table 2-2).
func TestConductanceFollowsTheFlow(t *testing.T) {
	log, _ := conductance(0.25)
	if want := math.Log(0.25 * (1 - math.Exp(-2)) / (1 - math.Exp(-1))); math.Abs(log-want) > 1e-12 {
		t.Errorf("with a quarter of the air %.4f, want %.4f", log, want)
	}
	for _, share := range []float64{0.12, 0.5, 1} {
		low, _ := conductance(share * 0.999)
		high, _ := conductance(share * 1.001)
		_, slope := conductance(share)
		if want := (high - low) / math.Log(1.001/0.999); math.Abs(slope-want) > 1e-5 {
			t.Errorf("slope at %.2f: %.4f, want %.4f", share, slope, want)
		}
	}
}

// Where the register says nothing, a record shows whether fans hold head pressure up; one of a
// machine that follows the weather shows that none do.
func TestTheRecordShowsWhetherPressureIsHeld(t *testing.T) {
	quiet := func(free bool) band {
		w := weighing{system: fanned()}
		w.system.HeadPressureControl = table.Unknown
		for _, p := range seasons(24, 9, 0.1) {
			if free {
				p.values[atCondenser] = 11 + 0.06*(p.outdoor-15)
				p.condensing = p.outdoor + p.values[atCondenser]
			}
			w.points = append(w.points, *p)
		}
		w.hold()
		return w.band
	}
	if b := quiet(false); b.width == 0 || math.Abs(b.middle-33.5) > 2 {
		t.Errorf("fans that slow down about 33.5 °C: found a band of %.1f K about %.1f °C", b.width, b.middle)
	}
	if b := quiet(true); b.width != 0 {
		t.Errorf("a condenser that follows the weather: found a band of %.1f K about %.1f °C", b.width, b.middle)
	}
}

// The same loss of air makes much in summer and little in winter; told as what it makes with
// full flow, it is one size in all weather.
func TestALossOfAirIsOneSizeInAllWeather(t *testing.T) {
	b := band{middle: 33.5, width: 7}
	usual := b.opened(condenserAt(25, 7, 0)-25, condenserAt(25, 7, 0))
	for _, outdoor := range []float64{2, 8, 15, 20, 25, 32} {
		tc := condenserAt(outdoor, 7, 0.3)
		clean := b.clean(usual, outdoor)
		if healthy := condenserAt(outdoor, 7, 0) - outdoor; math.Abs(clean-healthy) > 0.12*healthy {
			t.Errorf("at %.0f °C: clean difference %.1f K, want about %.1f K", outdoor, clean, healthy)
		}
		// A coil of one transfer unit with 0.7 of its air keeps 0.7 (1 - exp(-1/sqrt 0.7))
		// over 1 - exp(-1) of its conductance: 0.77.
		grown := b.opened(tc-outdoor, tc) - usual
		if want := -math.Log(0.77); math.Abs(grown-want) > 0.1 {
			t.Errorf("at %.0f °C: a loss of 0.3 of the air reads %.2f, want %.2f", outdoor, grown, want)
		}
	}
}

// What nobody logged counts as what it mostly is, and makes a value less sure.
func TestGapsAreFilledByTheWeather(t *testing.T) {
	points := seasons(12, 9, 0)
	x := make([]float64, len(points))
	for i, p := range points {
		x[i] = 1 + 0.02*(p.outdoor-15)
	}
	x[3], x[7] = math.NaN(), math.Inf(-1)
	x[5] -= math.Log(3) // a meter that has one of three phases
	if _, ok := filled(x, points); !ok {
		t.Fatal("ten known values do not fill two gaps")
	}
	for _, i := range []int{3, 5, 7} {
		if want := 1 + 0.02*(points[i].outdoor-15); math.Abs(x[i]-want) > 0.05 {
			t.Errorf("gap %d is filled with %.2f, want about %.2f", i, x[i], want)
		}
	}
	room := seasons(8, 9, 0)
	list := make([]point, len(room))
	for i, p := range room {
		list[i] = *p
	}
	list[5].room, list[5].values = math.NaN(), []float64{5, 7, 12, math.NaN(), 30}
	got := settled(fanned(), nil, list)
	if math.Abs(got[5].values[atEvaporator]-11) > 0.01 || got[5].guessed < leastUnsure {
		t.Errorf("a room nobody logged gives a difference of %.1f K, sure to %.1f K; want 11 K, sure to %.1f K at best", got[5].values[atEvaporator], got[5].guessed, leastUnsure)
	}
	if !math.IsNaN(list[5].values[atEvaporator]) {
		t.Error("the points themselves have changed")
	}
}
