package energy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

func TestSeasonNames(t *testing.T) {
	for day, want := range map[string]string{
		"2024-10-01": "2024/25 Oct-Mar", "2025-03-31": "2024/25 Oct-Mar", "2025-04-01": "2025 Apr-Sep", "2025-09-30": "2025 Apr-Sep",
		"2099-12-31": "2099/00 Oct-Mar",
	} {
		at, _ := time.Parse(time.DateOnly, day)
		name, from, to := SeasonOf(at)
		if name != want || at.Before(from) || !at.Before(to) {
			t.Errorf("%s lies in %s from %v to %v, want %s", day, name, from, to, want)
		}
	}
}

// plant is the windows of an invented machine: COP falls by 2.5 % per K outdoors,
// scatters from day to day and from window to window.
func plant(r *rand.Rand, from time.Time, days int, level, mean float64) []Point {
	var out []Point
	for d := range days {
		day, temp := 0.02*r.NormFloat64(), mean+5*r.NormFloat64()
		for w := range 12 {
			t := temp + 3*math.Sin(float64(w)/2)
			cop := level * math.Exp(-0.025*(t-15)+day+0.02*r.NormFloat64())
			out = append(out, Point{Start: from.AddDate(0, 0, d).Add(time.Duration(w) * time.Hour), Hours: 0.1, Temp: t, COP: cop, U: 0.03, KW: 2, Sensors: "S1"})
		}
	}
	return out
}

var october = time.Date(2023, 10, 1, 0, 0, 0, 0, time.UTC)

// Two winters of one machine in other weather: unchanged it is within noise nine
// times in ten, and its change is found within 3 %. Raw means would mistake the
// weather for the machine: 4 K are 10 %.
func TestSeasonsAreComparedLikeWithLike(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	const runs = 150
	false10, far := 0, 0
	for range runs {
		one := Seasons(plant(r, october, 100, 3, 8), Cooling, ByStates, register.Compressor, Binning{})
		two := Seasons(plant(r, october.AddDate(1, 0, 0), 100, 3*0.95, 12), Cooling, ByStates, register.Compressor, Binning{})
		c := Compare(two[0], one[0], nil, Binning{})
		if c.Why != "" {
			t.Fatal(c.Why)
		}
		if c.Percent.Lo > -5 || c.Percent.Hi < -5 {
			false10++
		}
		if math.Abs(c.Percent.Value+5) > 3 {
			far++
		}
		if raw := two[0].COP/one[0].COP - 1; raw > -0.09 {
			t.Fatalf("the weather is not in the raw figures: %.3f", raw)
		}
	}
	if share := float64(false10) / runs; share > 0.15 || share < 0.05 {
		t.Errorf("90 %% interval misses the truth in %.1f %% of comparisons", 100*share)
	}
	if far > runs/20 {
		t.Errorf("%d of %d changes are more than 3 %% off", far, runs)
	}
}

func TestWhatIsNotCompared(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 3))
	base := Seasons(plant(r, october, 60, 3, 8), Cooling, ByStates, register.Compressor, Binning{})[0]
	for name, change := range map[string]func(*Season){
		"boundary": func(s *Season) { s.Boundary = register.UnitWithFans },
		"route":    func(s *Season) { s.Route = ByHeatMeter },
		"mode":     func(s *Season) { s.Mode = Heating },
		"weather": func(s *Season) {
			for i := range s.Bins {
				s.Bins[i].From += 100
			}
		},
	} {
		other := base
		other.Bins = append([]Bin(nil), base.Bins...)
		change(&other)
		if c := Compare(other, base, nil, Binning{}); c.Verdict() != NotCompared {
			t.Errorf("another %s is compared: %+v", name, c)
		}
	}
	other := base
	other.Sensors = "S2"
	same, changed := Compare(base, base, nil, Binning{}), Compare(other, base, nil, Binning{})
	if same.Verdict() != WithinNoise || !(changed.Percent.Hi-changed.Percent.Lo > same.Percent.Hi-same.Percent.Lo+4) {
		t.Errorf("other instruments do not widen the interval: %+v, %+v", same.Percent, changed.Percent)
	}
	if c := Compare(base, base, Standard(Average), Binning{}); math.Abs(c.Percent.Value) > 1e-9 {
		t.Errorf("a season differs from itself by %v %%", c.Percent.Value)
	}
}

// Two machines of which instruments are known to 2 %: alike they are told apart in
// one pair of twenty at most, 10 % apart in nine of ten; with 6 % they are not told
// apart falsely either.
func TestRankTellsApart(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	kin := Kin{Kind: register.ColdRoom, Refrigerant: "R134a", Mode: Cooling, Route: ByStates, Boundary: register.Compressor}
	share := func(gap, u float64) float64 {
		const runs = 150
		told := 0
		for range runs {
			var members []Member
			for i, level := range []float64{3, 3 * gap} {
				s := Seasons(plant(r, october, 45, level*math.Exp(u*r.NormFloat64()), 8), Cooling, ByStates, register.Compressor, Binning{})[0]
				members = append(members, Member{System: fmt.Sprint(i), Bins: s.Bins, U: u})
			}
			if p := Rank(kin, members, Binning{}); p[0].Sets != p[1].Sets {
				told++
			}
		}
		return float64(told) / runs
	}
	if s := share(1, 0.02); s > 0.08 {
		t.Errorf("alike, 2 %%: told apart in %.1f %%", 100*s)
	}
	if s := share(1, 0.06); s > 0.08 {
		t.Errorf("alike, 6 %%: told apart in %.1f %%", 100*s)
	}
	if s := share(0.9, 0.02); s < 0.9 {
		t.Errorf("10 %% apart, 2 %%: told apart in %.1f %%", 100*s)
	}
}

func TestRankLettersAndRefusals(t *testing.T) {
	bins := func(cop float64) []Bin {
		var out []Bin
		for from := 0.0; from < 10; from += 2 {
			out = append(out, Bin{From: from, To: from + 2, COP: cop, SE: 0.01, Windows: 20, Days: 10, Hours: 2})
		}
		return out
	}
	kin := Kin{Boundary: register.Compressor}
	members := []Member{{"A", bins(3), 0.02}, {"B", bins(3.1), 0.02}, {"C", bins(3.4), 0.02}, {"D", bins(2.2), 0.02}, {"E", nil, 0.02}}
	places := Rank(kin, members, Binning{})
	want := map[string]struct {
		rank int
		sets string
	}{"C": {1, "a"}, "B": {2, "b"}, "A": {3, "b"}, "D": {4, "c"}, "E": {0, ""}}
	for _, p := range places {
		if w := want[p.System]; p.Rank != w.rank || p.Sets != w.sets && p.System != "B" && p.System != "C" {
			t.Errorf("%s: rank %d, sets %q; want %+v", p.System, p.Rank, p.Sets, w)
		}
	}
	if places[4].Why == "" {
		t.Error("a system without bins is ranked")
	}
	for _, p := range Rank(Kin{}, members, Binning{}) {
		if p.Why == "" {
			t.Errorf("%s of unknown boundary is ranked", p.System)
		}
	}
}
