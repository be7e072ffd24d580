package drift

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Too much charge stands in the condenser as liquid: subcooling rises (NIST SP 1087, from
// memory). An addition after which it stands far above where it stood while the machine was
// well filled in too much; one that brings it back did not (common practice, no source).
func TestAnAdditionMayFillInTooMuch(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 21))
	over, back := 0, 0
	const machines = 8
	for range machines {
		visits := machine{visits: 20, every: month, noise: 0.3}.draw(rng)
		slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
		event := register.Event{Kind: register.ChargeAdded, Time: visits[11].Start.Add(-time.Hour), HasTime: true}
		first := func(change func(i int, v *table.Visit)) string {
			own := slices.Clone(visits)
			for i := range own {
				change(i, &own[i])
			}
			if k := likeliest(append([]table.Cause{{}}, Causes(system(), []register.Event{event}, own, Options{})...)); len(k) > 0 {
				return k[0]
			}
			return ""
		}
		over += int(is(first(func(i int, v *table.Visit) {
			if i >= 11 {
				v.Subcooling, v.CondenserTD = v.Subcooling+5, v.CondenserTD+1
			}
		}) == Overcharge))
		back += int(is(first(func(i int, v *table.Visit) {
			if i < 11 {
				v.Subcooling -= 0.4 * float64(max(0, i-3))
			}
		}) == Overcharge))
	}
	if over < machines*3/4 || back > 1 {
		t.Errorf("of %d machines each: too much is likeliest at %d that were filled above where they stood, and at %d that were filled back; want most and hardly any", machines, over, back)
	}
}
