package energy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// mixedWindows are a year of windows whose mode, route and boundary are drawn anew each day.
func mixedWindows(r *rand.Rand) (windows []table.EnergyWindow) {
	boundaries := []register.Boundary{register.Compressor, register.UnitWithFans, register.BoundaryUnknown}
	r.Shuffle(len(boundaries), func(i, j int) { boundaries[i], boundaries[j] = boundaries[j], boundaries[i] })
	start := time.Date(2024, 4, 1, 12, 0, 0, 0, time.UTC)
	for day := range 365 {
		w := table.EnergyWindow{Mode: []string{Cooling, Heating}[r.IntN(2)], Route: Route(r.IntN(2)).String(), Boundary: boundaries[r.IntN(2)].String()}
		for i := range 3 {
			w.Start = start.AddDate(0, 0, day).Add(time.Duration(i) * time.Hour)
			w.End, w.Outdoor, w.Power = w.Start.Add(20*time.Minute), 20*r.Float64(), 5.0
			w.COP = 3 + 0.1*r.NormFloat64()
			w.COPU = 0.05
			windows = append(windows, w)
		}
	}
	return windows
}

// Law: whatever is mixed in a log, a season's windows are of one mode, route and boundary,
// two seasons that differ in one are not compared, and no group of a ranking holds two.
func TestBoundariesAreNeverMixed(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 18))
	o := Options{BinDays: 2, BinWindows: 2}
	var entries []Entry
	for n := range 6 {
		windows := mixedWindows(r)
		rows := SeasonRows(windows, nil, nil, time.UTC, o)
		count := map[string]int64{}
		for _, w := range windows {
			name, _, _ := SeasonOf(w.Start)
			count[fmt.Sprint(name, keyOf(w))]++
		}
		for _, s := range rows {
			k := fmt.Sprint(s.Season, sort{s.Mode, s.Route, s.Boundary})
			if s.What == WholeSeason && s.Windows != count[k] {
				t.Errorf("%s: %d windows, want its own %d", k, s.Windows, count[k])
			}
		}
		sys := register.NewSystem(fmt.Sprintf("S%d", n))
		sys.RefrigerantName = "R134a"
		entries = append(entries, Entry{System: sys, Seasons: rows, KWh: math.NaN()})
	}
	kinds := map[string]map[string]bool{}
	for _, e := range entries {
		for _, s := range e.Seasons {
			k := Kin{e.System.Kind, e.System.RefrigerantName, s.Mode, routeNamed(s.Route), boundaryNamed(s.Boundary)}
			if kinds[k.String()] == nil {
				kinds[k.String()] = map[string]bool{}
			}
			kinds[k.String()][fmt.Sprint(s.Mode, s.Route, s.Boundary)] = true
		}
	}
	rankings := RankingRows(entries, o)
	if len(rankings) == 0 {
		t.Fatal("nothing was ranked: no test")
	}
	for _, row := range rankings {
		switch {
		case len(kinds[row.Group]) != 1:
			t.Errorf("group %s holds %v", row.Group, kinds[row.Group])
		case strings.Contains(row.Group, "boundary: "+register.BoundaryUnknown.String()) && row.Rank != 0:
			t.Errorf("ranked by an unknown boundary: %+v", row)
		}
	}
	seasonsOfAll := []Season{}
	for mode := range 2 {
		for route := range 3 {
			for _, b := range []register.Boundary{register.Compressor, register.BoundaryUnknown} {
				seasonsOfAll = append(seasonsOfAll, Season{Mode: []string{Cooling, Heating}[mode], Route: Route(route), Boundary: b, Hours: 1, COP: 3, Bins: []Bin{{From: 0, To: 2, COP: 3, SE: 0.1, Windows: 50, Days: 20, Hours: 9}}})
			}
		}
	}
	for i, a := range seasonsOfAll {
		for j, b := range seasonsOfAll {
			if c := Compare(a, b, nil, o.binning()); (c.Why == "") != (i == j) {
				t.Errorf("%s by %s, %s against %s by %s, %s: %q", a.Mode, a.Route, a.Boundary, b.Mode, b.Route, b.Boundary, c.Why)
			}
		}
	}
}
