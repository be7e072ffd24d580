package score

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// cast puts shifts of one class together.
func cast(n noise, shown ...shift) map[string]*classed {
	return grouped(shown, map[string]noise{"": n}, 0)
}

// One reading after k before it, of a machine of which nobody knows where it stands, is the
// test of two means: d² = s² / (σ² (1 + 1/k)) (Kay 1998, vol. II, ch. 7), found with
// Q(Q⁻¹(P_FA) - d). Q(2.3263) = 0.01 as tables of the normal distribution have it.
func TestWhoLearnsTheLevelComparesMeans(t *testing.T) {
	const k, sd = 4, 0.8
	s := 2.3263 * sd * math.Sqrt(1+1./k)
	shown := []shift{{moved: s, weather: weather{1}}}
	for range k {
		shown = append(shown, shift{weather: weather{1}})
	}
	n := noise{0, sd}
	near(t, "chance of who learns", Number(detects(learning(cast(n, shown...)), 0.01)), 0.5, 1e-3)
	near(t, "chance of who knows", Number(detects(knowing(cast(n, shown...)), 0.01)), 0.6082, 1e-3) // Q(2.3263 (1 - sqrt(1.25))) = 1 - Q(0.2746)
	missing(t, "chance without any reading", Number(learning(nil)))
}

// The closed form is what solving with the whole covariance of errors and weather gives, and
// who knows the course finds no less than who learns it.
func TestEnergyOfWhoLearns(t *testing.T) {
	rng := rand.New(rand.NewPCG(93, 93))
	n := noise{offset: 0.6, scatter: 0.4}
	var shown []shift
	for i := range 9 {
		x := shift{kit: string(rune('A' + i/3)), moved: math.Max(0, float64(i-4)) * 0.5, weather: weather{1}}
		for k := 1; k < columns; k++ {
			x.weather[k] = rng.NormFloat64()
		}
		shown = append(shown, x)
	}
	cov, s := mat.NewSymDense(len(shown), nil), mat.NewVecDense(len(shown), nil)
	for i, a := range shown {
		s.SetVec(i, a.moved)
		for j, b := range shown[:i+1] {
			v := flag(i == j)*n.scatter*n.scatter + flag(a.kit == b.kit)*n.offset*n.offset
			for k, sd := range followedSD {
				v += sd * sd * a.weather[k] * b.weather[k]
			}
			cov.SetSym(i, j, v)
		}
	}
	var x mat.VecDense
	if err := x.SolveVec(cov, s); err != nil {
		t.Fatal(err)
	}
	groups := cast(n, shown...)
	near(t, "energy of who learns", Number(learning(groups)), mat.Dot(s, &x), 1e-6)
	if learning(groups) > knowing(groups) {
		t.Errorf("who learns has energy %v, who knows %v", learning(groups), knowing(groups))
	}
}

// A condenser of which visits err by 1 K shows 1.5 K once and 3 K on the day that counts: who
// knows the course finds it with Q(Q⁻¹(P_FA) - sqrt(1.5² + 3²)), P_FA that of one false alarm
// in 100 years over the time since the first stay. One of two was found.
func TestCoilsBesideTheOracle(t *testing.T) {
	const passes = 360
	const healthy = 40
	systems := map[string][]truth.Episode{"A": {fouling()}, "B": {fouling()}}
	for i := range healthy {
		systems[fmt.Sprint(i)] = nil
	}
	in := fleetOf(systems)
	rng := rand.New(rand.NewPCG(94, 94))
	for i := range healthy {
		see(&in, fmt.Sprint(i), erring(rng, 1))
	}
	for i, f := range in.Truth.Files {
		for _, x := range []struct{ day, effect float64 }{{330, 1.5}, {passes, 3}} {
			if len(systems[f.System]) > 0 && f.Start.Equal(on(x.day)) {
				in.Truth.Files[i].Effects = []truth.Effect{{Time: f.Start, Fault: truth.CondenserFouling, Condenser: x.effect}}
			}
		}
	}
	in.Findings = []table.Finding{finding("A", "condenser fouling", 340)}
	x := compared(t, in).Faults["condenser fouling"]
	wrong := -math.Expm1(-0.01 * (passes + 15./24) / 365.25)
	want := detects(1.5*1.5+3*3, wrong)
	near(t, "chance of who knows", x.Oracle.Knowing.Share, want, 0.04)
	two := x.Oracle.ByStays["2"]
	if two.Found.N != 2 || two.Found.Share != 0.5 || x.Oracle.Knowing.N != 2 || x.Oracle.ByStays["1"].Found.N != 0 {
		t.Errorf("by stays: %+v, want one of two found, both shown twice", x.Oracle.ByStays)
	}
	if x.Oracle.Learning.Share > x.Oracle.Knowing.Share {
		t.Errorf("who learns finds %v, who knows %v", x.Oracle.Learning.Share, x.Oracle.Knowing.Share)
	}
}

// erring is what visits show of a healthy condenser that err by so much, K.
func erring(rng *rand.Rand, sd float64) (o Observed) {
	for day := 0; day <= lastDay; day += everyDays {
		from := on(float64(day))
		for m := 0; m <= minutes; m += 10 {
			at := from.Add(time.Duration(m) * time.Minute)
			o.Points = append(o.Points, truth.Point{Time: at, Outdoor: 20, Source: 20, Sink: 20, Condensing: 31, Evaporating: 10})
		}
		shown := 31 + sd*rng.NormFloat64()
		v := table.Visit{Start: from, End: from.Add(minutes * time.Minute), Use: table.UseTrend, CondensingTemp: shown, CondenserTD: shown - 20}
		o.Visits = append(o.Visits, v)
		o.Windows = append(o.Windows, table.Window{Start: from, End: v.End, CondensingTemp: shown, CondenserTD: shown - 20})
	}
	return o
}
