package energy

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// startsAndStops is the log of a machine that runs for some minutes and stands for others, a
// sample every so many: after a start pressures and air near what they are at rest within
// minutes, the discharge gas with 400 s (the lags of the invented fleet's machines; laboratory
// logs of a small heat pump show the same order).
func startsAndStops(t *testing.T, run, stop, every float64) (*Machine, *Log) {
	t.Helper()
	m, s := machine(t)
	l := &Log{}
	put := func(k int, v float64) { l.columns[k] = append(l.columns[k], v) }
	for at := 0.0; at < 4*24*60; at += every {
		cycle := math.Mod(at, run+stop)
		on, left := cycle < run, math.Exp(-60*cycle/400)
		l.Time = append(l.Time, int64(at*60e6))
		near := func(rest, standing, lag float64) float64 {
			if !on {
				return standing
			}
			return rest + (standing-rest)*math.Exp(-60*cycle/lag)
		}
		put(0, near(s.SuctionPressure, 1.5*s.SuctionPressure, 40))
		put(1, near(s.DischargePressure, 0.7*s.DischargePressure, 60))
		put(3, s.SuctionTemp)
		put(dischargeColumn, s.DischargeTemp-30*left)
		put(5, s.LiquidTemp)
		put(evaporatorOnColumn, 24)
		put(evaporatorOnColumn+1, near(14, 24, 60))
		put(powerColumn, near(3, 0, 20))
	}
	return m, l
}

// Samples a quarter of an hour apart of a machine whose runs are long enough for its gas to
// settle: what is left of the log are samples at rest. Of short runs air and pressures are left, of
// the gas nothing: at their end it still has kelvins to go. Raw means are off by more.
func TestCoarseLogKeepsWhatHasSettled(t *testing.T) {
	for _, c := range []struct {
		name      string
		run, stop float64 // min
		warm      bool
	}{{"long runs", 53, 9.7, true}, {"short runs", 14, 9.3, false}} {
		m, l := startsAndStops(t, c.run, c.stop, 15)
		running := l.runs()
		_, want := machine(t)
		rest := l.settled(m, running)
		hot, off := rest.columns[dischargeColumn], mean(rest.columns[evaporatorOnColumn+1])
		near(t, c.name+": air that leaves, °C", off, 14, 0.2)
		if got := !math.IsNaN(mean(hot)); got != c.warm {
			t.Errorf("%s: gas taken for settled: %v", c.name, got)
		}
		if c.warm {
			near(t, c.name+": gas, °C", mean(hot), want.DischargeTemp, 0.5)
		}
		var raw []float64
		for i, on := range running {
			if on {
				raw = append(raw, l.columns[evaporatorOnColumn+1][i])
			}
		}
		if mean(raw) < 14.1 {
			t.Errorf("%s: the log is no test: its air leaves at %.2f °C", c.name, mean(raw))
		}
	}
}

// Runs of a quarter of an hour hold no window of samples as far apart, but their single samples
// speak; where samples are close, only windows do.
func TestShortRunsSpeakBySingleSamples(t *testing.T) {
	m, l := startsAndStops(t, 14, 9.3, 15)
	m.EvaporatorAir, m.Kind = 1000, register.AirConditioning
	for range l.Time {
		l.columns[evaporatorOnColumn+2] = append(l.columns[evaporatorOnColumn+2], 10)
	}
	start := time.UnixMicro(l.Time[0]).UTC()
	day := Window{Start: start, End: start.Add(24 * time.Hour), Grade: table.GradeSingles, Instruments: "S"}
	known := func(_ time.Time, s State) (State, Doubt) { return s, Doubt(NewState()) }
	rows := WindowRows(l, m, []Window{day}, known)
	var cops []float64
	for _, r := range rows {
		cops = append(cops, r.ByAir)
	}
	want := 1000.0 / 3600 / Air{24, 0.0018, 101.325}.Volume() * 1.0093 * 10 / 3 // dry coil: flow, heat capacity, 10 K, 3 kW
	if len(rows) < 20 {
		t.Fatalf("%d rows of a day of some 58 running samples", len(rows))
	}
	near(t, "COP by air", mean(cops), want, 0.02*want)
	if got := rows[0].End.Sub(rows[0].Start); got != 15*time.Minute {
		t.Errorf("a single sample stands for %v", got)
	}
	_, fine := startsAndStops(t, 14, 9.3, 1)
	if rows := WindowRows(fine, m, []Window{day}, known); len(rows) > 0 {
		t.Errorf("%d rows of single samples a minute apart", len(rows))
	}
}
