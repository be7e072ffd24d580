package drift

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// likeliest is the kinds of the last decision, the most probable first.
func likeliest(rows []table.Cause) (kinds []string) {
	last := slices.DeleteFunc(slices.Clone(rows), func(c table.Cause) bool { return !c.DecidedOn.Equal(rows[len(rows)-1].DecidedOn) })
	slices.SortStableFunc(last, func(a, b table.Cause) int { return cmp.Compare(b.Probability, a.Probability) })
	for _, c := range last {
		kinds = append(kinds, c.Kind)
	}
	return kinds
}

// A machine that leaks while its condenser fouls mostly has both named first, and often
// both raised (no outside figure: one of them alone hides the other for long).
func TestTwoFaultsAtOnce(t *testing.T) {
	rng := rand.New(rand.NewPCG(16, 16))
	named, found := 0, 0
	const machines = 12
	for range machines {
		visits := machine{visits: 30, every: month, noise: 0.4, leak: 3, fouling: 4, from: 10}.draw(rng)
		causes := Causes(system(), nil, visits, Options{})
		if k := likeliest(causes); len(k) > 1 && slices.Contains(k[:2], ChargeLoss) && slices.Contains(k[:2], CondenserFouling) {
			named++
		}
		var raised []string
		for _, f := range Findings(system(), nil, nil, nil, causes, time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), Options{}) {
			raised = append(raised, f.Kind)
		}
		if slices.Contains(raised, ChargeLoss) && slices.Contains(raised, CondenserFouling) {
			found++
		}
	}
	if named < machines*3/4 || found < machines*4/10 {
		t.Errorf("of %d machines with two faults %d have both named first, %d both raised; want most of them", machines, named, found)
	}
}

// The probabilities of a diagnosis are those of the cases: nothing, one fault, the leading one
// and another, or a third beside both; one in ten of them is told by mistake.
func TestSharesOfFaultsTogether(t *testing.T) {
	leak, fouling, dirt, unclear := &suspect{odds: math.Log(8)}, &suspect{odds: math.Log(2)}, &suspect{odds: math.Log(0.5)}, &suspect{odds: math.Log(4)}
	d := diagnosis{suspects: map[string]*suspect{ChargeLoss: leak, CondenserFouling: fouling, EvaporatorFouling: dirt, Unclear: unclear}}
	// Cases by weight: nothing 1, leak 8, fouling 2, dirt 0.5, something unknown 4, leak and
	// fouling 8*3, and dirt beside both 8*3*5.
	beside, third := map[string]*suspect{CondenserFouling: {odds: math.Log(3)}}, map[string]*suspect{EvaporatorFouling: {odds: math.Log(5)}}
	d.share(company{leak, CondenserFouling, beside, third})
	for _, c := range []struct {
		name string
		of   *suspect
		want float64
	}{
		{"leak", leak, 0.9 * (8 + 24 + 120) / 159.5},
		{"fouling", fouling, 0.9 * (2 + 24 + 120) / 159.5},
		{"dirt", dirt, 0.9 * (0.5 + 120) / 159.5},
		{"unclear", unclear, 0.9*4/159.5 + 0.1*158.5/159.5},
	} {
		if math.Abs(c.of.probability-c.want) > 1e-12 {
			t.Errorf("%s %.4f, want %.4f", c.name, c.of.probability, c.want)
		}
	}
	if got, want := fouling.odds, math.Log(3); got != want {
		t.Errorf("fouling beside the leak has odds %.4f, want %.4f", got, want)
	}
	if got, want := dirt.odds, math.Log(5); got != want {
		t.Errorf("dirt beside both has odds %.4f, want %.4f", got, want)
	}
}

// A valve that holds superheat until it is fully open does not hide a leak: subcooling
// falls first, the evaporator starves a year later, and it is charge loss all along.
func TestALeakThatStarvesLate(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 17))
	for i := range 8 {
		visits := machine{visits: 36, every: month, noise: 0.3, leak: 3, from: 8}.draw(rng)
		for k := range visits {
			late := math.Max(0, years(visits[k].Start.Sub(visits[22].Start)))
			visits[k].Superheat += 8 * late
			visits[k].EvaporatorTD += 4 * late
		}
		if k := likeliest(Causes(system(), nil, visits, Options{})); len(k) == 0 || k[0] != ChargeLoss {
			t.Errorf("machine %d: %v, want charge loss first", i, k)
		}
	}
}

// What head pressure control holds says nothing of the condenser: a fouling that shows in
// warm weather only has the size that it shows there, though most visits are cold ones.
func TestFoulingBehindHeadPressureControl(t *testing.T) {
	rng := rand.New(rand.NewPCG(18, 18))
	found := 0
	for range 8 {
		visits := machine{visits: 30, every: month, noise: 0.3, fouling: 4, from: 10}.draw(rng)
		for k, v := range visits {
			if v.CondensingTemp < 24 {
				visits[k].CondenserTD += 24 - v.CondensingTemp - 4*math.Max(0, years(v.Start.Sub(visits[10].Start)))
				visits[k].CondensingTemp = 24
			}
		}
		for _, f := range raised(visits) {
			if f.Kind == CondenserFouling {
				found++
			}
		}
	}
	if found < 6 {
		t.Errorf("%d of 8 foulings of 4 K a year found that show in warm weather only, want most", found)
	}
}

// As the laws of a fault that goes far are not lines (Rossi & Braun 1997 give signs alone), a
// line that was nearly blocked must not name a second fault, though the evaporator's
// difference rises in its last months more than in proportion.
func TestAFaultThatGoesFarIsOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 19))
	for i := range 6 {
		visits := machine{visits: 30, every: month, noise: 0.3}.draw(rng)
		for k := range visits {
			far := math.Pow(math.Max(0, float64(k-14))/15, 3)
			visits[k].Superheat += 24 * far
			visits[k].Subcooling += 4 * far
			visits[k].EvaporatorTD += 14 * math.Pow(far, 1.5)
			visits[k].CondenserTD += 2.5 * math.Pow(far, 2)
		}
		for _, f := range raised(visits) {
			if f.Kind == CondenserFouling || f.Kind == EvaporatorFouling {
				t.Errorf("machine %d: %s raised on %s beside a blocked line: %s", i, f.Kind, day(f.RaisedOn), f.RaisedCauses)
			}
		}
	}
}

// What is asked of odds grows with the variance of a record, and where few visits tell it: set so
// on drawn records (TestFalseFindings), which have twice the usual scatter.
func TestRestlessAndShortRecordsAskForMore(t *testing.T) {
	p, _ := find(EvaporatorFouling)
	c := table.Cause{Kind: EvaporatorFouling, Feature: EvaporatorTD, Odds: 0.7, Sure: 0, Probability: 0.9, Noise: 0.3, Visits: fewVisits}
	if !p.sure(c) {
		t.Error("a usual record is not sure enough")
	}
	short, restless := c, c
	short.Visits--
	restless.Noise = 1.5 * usualScatter(EvaporatorTD)
	if p.sure(short) || p.sure(restless) {
		t.Errorf("sure in a short record: %v, in a restless one: %v; want neither", p.sure(short), p.sure(restless))
	}
}

// An evaporator's difference wider by 7.5 K at the latest visit alone, in a record that said
// nothing before it, as ice on the coil or a logger's probe in the wrong place make it: the next
// visit must show it too.
func TestOneVisitAloneIsNoDirt(t *testing.T) {
	p, _ := find(EvaporatorFouling)
	iced := table.Cause{Kind: EvaporatorFouling, Feature: EvaporatorTD, Odds: 67.6, Sure: -3.6, Probability: 0.9, Visits: 17, Size: 7.5, Noise: 0.53}
	if p.holds(iced) {
		t.Error("one visit alone raised dirt on an evaporator")
	}
	if iced.Sure = 12; !p.holds(iced) {
		t.Error("what any visit less shows as well was not raised")
	}
}

// Gas lifts subcooling and the condenser's difference by as much and stays (signs of Rossi & Braun
// 1997 for what raises the pressure); charge is lost behind it, by 4 K of subcooling a year. The
// step that the gas made is no scatter in which the loss hides; without a loss there is none.
func TestALossShowsBehindMuchGas(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 3))
	lost := func(leak float64) (n int) {
		for range 8 {
			visits := machine{visits: 30, every: month, noise: 0.3, leak: leak, from: 14}.draw(rng)
			for k := 9; k < len(visits); k++ {
				visits[k].Subcooling += 12
				visits[k].CondenserTD += 12
				visits[k].CondensingTemp += 12
			}
			if slices.ContainsFunc(raised(visits), func(f table.Finding) bool { return f.Kind == ChargeLoss }) {
				n++
			}
		}
		return n
	}
	if n := lost(4); n < 6 {
		t.Errorf("%d of 8 losses behind gas found, want most", n)
	}
	if n := lost(0); n > 0 {
		t.Errorf("%d of 8 losses behind gas raised that are none", n)
	}
}
