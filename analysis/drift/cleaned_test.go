package drift

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// cleaning is a weighing of a machine whose coils stand so far off their media before and after
// a row that says no more than that a coil was cleaned.
func cleaning(before, after [2]float64) (*weighing, register.Event) {
	at := time.Date(2024, 10, 7, 14, 0, 0, 0, time.UTC)
	side := func(t time.Time, differences [2]float64) point {
		nan := math.NaN()
		return point{at: t, set: "S1", outdoor: 20, condensing: 20 + differences[0], evaporating: -6, values: []float64{nan, nan, differences[0], differences[1], nan}}
	}
	e := register.Event{Kind: register.CoilCleaned, Time: at, HasTime: true}
	w := &weighing{points: []point{side(at.Add(-time.Hour), before), side(at.Add(time.Hour), after)}, events: []register.Event{e}}
	return w, e
}

// A part that was changed is a coil where its difference moves (by Q = G (T - t), and the same
// heat before and after), and another one where it stays: dirt goes on then.
func TestAPartSparesTheCoilsThatStay(t *testing.T) {
	for _, tc := range []struct {
		name                  string
		before, after         [2]float64
		condenser, evaporator bool
	}{
		{"neither moves", [2]float64{15.3, 11.5}, [2]float64{15.4, 11.6}, true, true},
		{"the evaporator's falls", [2]float64{15.3, 11.5}, [2]float64{15.4, 9.2}, true, false},
		{"a larger compressor: both rise", [2]float64{15.3, 11.5}, [2]float64{17.2, 13.1}, false, false},
		{"the evaporator's is not known", [2]float64{15.3, math.NaN()}, [2]float64{15.4, math.NaN()}, true, false},
	} {
		w, e := cleaning(tc.before, tc.after)
		e.Kind = register.PartChanged
		w.events = []register.Event{e}
		past := w.remember()
		if past.spares(e, CondenserTD) != tc.condenser || past.spares(e, EvaporatorTD) != tc.evaporator {
			t.Errorf("%s: spares condenser %v, evaporator %v; want %v, %v", tc.name, past.spares(e, CondenserTD), past.spares(e, EvaporatorTD), tc.condenser, tc.evaporator)
		}
	}
}

// Rows do not say which coil was cleaned: the difference that falls is that of the one that was
// (by Q = G (T - t), and the same heat before and after).
func TestACleaningSparesTheCoilThatStays(t *testing.T) {
	for _, tc := range []struct {
		name          string
		before, after [2]float64
		spared        string
	}{
		{"the condenser's falls", [2]float64{15.3, 11.3}, [2]float64{13.6, 11.4}, EvaporatorTD},
		{"the evaporator's falls", [2]float64{15.3, 13.5}, [2]float64{15.2, 10.2}, CondenserTD},
		{"both fall", [2]float64{15.3, 13.5}, [2]float64{13.2, 11.2}, ""},
		{"neither falls", [2]float64{13.6, 11.4}, [2]float64{13.5, 11.3}, ""},
		{"the evaporator's is not known", [2]float64{15.3, math.NaN()}, [2]float64{13.6, math.NaN()}, ""},
		{"the evaporator's is not known, the condenser's stays", [2]float64{26.8, math.NaN()}, [2]float64{27.1, math.NaN()}, CondenserTD},
	} {
		w, e := cleaning(tc.before, tc.after)
		past := w.remember()
		for _, coil := range []string{CondenserTD, EvaporatorTD} {
			if got, want := past.spares(e, coil), coil == tc.spared; got != want {
				t.Errorf("%s: spares %s: %v, want %v", tc.name, coil, got, want)
			}
		}
		ends := diagnosis{start: w.points[0].at}.ended(past)
		for kind, coil := range map[string]string{CondenserFouling: CondenserTD, EvaporatorFouling: EvaporatorTD} {
			if _, ended := ends[kind]; ended == (coil == tc.spared) {
				t.Errorf("%s: %s ended: %v", tc.name, kind, ended)
			}
		}
	}
	w, e := cleaning([2]float64{15.3, 11.3}, [2]float64{13.6, 11.4})
	w.points[1].set = "S2"
	if w.remember().spares(e, EvaporatorTD) {
		t.Error("other instruments after the act: they tell nothing about it")
	}
}

// Gas that does not condense adds its own pressure to that of saturation (Dalton's law), at rest
// and over all of the liquid: an act after which both still show it did not let it out.
func TestAnActKeepsTheGasThatStillShows(t *testing.T) {
	act, nan := time.Date(2024, 10, 7, 14, 0, 0, 0, time.UTC), math.NaN()
	at := func(days int, subcooling, rest float64) point {
		return point{at: act.AddDate(0, 0, days), values: []float64{subcooling, nan, nan, nan, nan}, atRest: rest}
	}
	for _, tc := range []struct {
		name   string
		points []point
		want   bool
	}{
		{"the running machine shows it", []point{at(-60, 26, 24), at(-20, 26, nan), at(20, 25.8, nan)}, true},
		{"subcooling fell", []point{at(-60, 26, 24), at(-20, 26, nan), at(20, 5, nan)}, false},
		{"the machine at rest shows it, which lost charge besides", []point{at(-20, 26, nan), at(20, 20, nan), at(50, 20, 17)}, true},
		{"the machine at rest shows none", []point{at(-20, 12, nan), at(20, 11.5, nan), at(50, 11.5, 0.3)}, false},
		{"nothing was logged since", []point{at(-60, 26, 24), at(-20, 26, nan)}, false},
	} {
		w := weighing{points: tc.points, events: []register.Event{{Kind: register.PartChanged, Time: act, HasTime: true}}}
		_, ended := diagnosis{start: tc.points[0].at}.ended(w.remember())[Gas]
		if ended == tc.want {
			t.Errorf("%s: ended %v, want %v", tc.name, ended, !tc.want)
		}
	}
}
