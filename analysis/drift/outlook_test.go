package drift

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

func ahead(kind string) table.Finding {
	f := blankFinding(register.NewSystem("A"), kind)
	f.State, f.ChangedOn = Open, time.Date(2025, 3, 1, 9, 0, 0, 0, time.UTC)
	return f
}

// A valve-controlled machine that lost 8 % and loses 6 % a year has lost 20 % in two
// years; between (20-10)/8 = 1.25 and (20-6)/4 = 3.5 years.
func TestWhenALimitIsMet(t *testing.T) {
	valve, fixed := system(), system()
	fixed.Expansion = register.Capillary
	f := ahead(ChargeLoss)
	f.Lost, f.LostLo, f.LostHi, f.LossPct, f.LossPctLo, f.LossPctHi = 8, 6, 10, 6, 4, 8
	Outlook(&f, valve, Weights{})
	for _, c := range []struct {
		what  string
		got   time.Time
		years float64
	}{{"likeliest", f.LimitOn, 2}, {"soonest", f.LimitOnLo, 1.25}, {"latest", f.LimitOnHi, 3.5}} {
		if days := c.got.Sub(f.ChangedOn).Hours() / 24; math.Abs(days-365.25*c.years) > 1 {
			t.Errorf("%s: met on %v, want after %v years", c.what, c.got, c.years)
		}
	}
	f.Lost = 12
	if Outlook(&f, fixed, Weights{}); f.Limit != "10 % of the charge lost: met" {
		t.Errorf("behind a capillary: %q", f.Limit)
	}
	slow := ahead(CondenserFouling)
	slow.Size, slow.SizeLo, slow.SizeHi, slow.PerYear, slow.PerYearLo, slow.PerYearHi = 2, 1, 3, 0.1, -0.2, 0.4
	if Outlook(&slow, valve, Weights{}); !slow.LimitOn.IsZero() || !slow.LimitOnHi.IsZero() || slow.LimitOnLo.IsZero() {
		t.Errorf("in forty years: got %v to %v, likeliest %v", slow.LimitOnLo, slow.LimitOnHi, slow.LimitOn)
	}
	if closed := ahead(ChargeLoss); closed.Limit != "" {
		t.Error("a finding that nobody looked ahead for has a limit")
	}
}

// Every cause that is not sure says what would settle it, against each other one and
// against unclear.
func TestWhatWouldSettleACause(t *testing.T) {
	f := ahead(ChargeLoss)
	f.Causes = "charge loss 0.60; unclear 0.25; liquid line restriction 0.10; nothing 0.05"
	if Outlook(&f, system(), Weights{}); !strings.HasPrefix(f.Settles, "charge loss (60 % likely) or none of the known causes (25 % likely), the other 15 % over what else it may be: weigh the charge") {
		t.Errorf("unclear: %q", f.Settles)
	}
	f.Causes = "liquid line restriction 0.50; charge loss 0.45"
	if Outlook(&f, system(), Weights{}); !strings.Contains(f.Settles, "before and after the filter drier") {
		t.Errorf("a restriction: %q", f.Settles)
	}
	f.Causes = "charge loss 0.90; evaporator fouling 0.26"
	if Outlook(&f, system(), Weights{}); !strings.HasPrefix(f.Settles, "charge loss (90 % likely), and perhaps evaporator fouling too (26 % likely): ") {
		t.Errorf("two at once: %q", f.Settles)
	}
	f.Kind, f.Causes = Starved, "charge loss 0.55; liquid line restriction 0.30; unclear 0.15"
	if Outlook(&f, system(), Weights{}); !strings.HasPrefix(f.Settles, "charge loss (55 % likely) or liquid line restriction (30 % likely), the other 15 % over what else it may be: log the liquid temperature before and after") {
		t.Errorf("no cause named: %q", f.Settles)
	}
	f.Kind, f.Causes, f.Settles = ChargeLoss, "charge loss 0.97; unclear 0.02", ""
	if Outlook(&f, system(), Weights{}); f.Settles != "" {
		t.Errorf("sure: %q", f.Settles)
	}
	for _, a := range kinds {
		for _, b := range kinds {
			if a != b && (a != Unclear || b != Unclear) && partedBy(a, b) != partedBy(b, a) {
				t.Errorf("%s and %s are parted by %q one way and by %q the other", a, b, partedBy(a, b), partedBy(b, a))
			}
		}
	}
}

// 4 kg a year of R404A are 1 kg in a quarter, 3.922 t CO2e (GWP 3922, IPCC AR4 by its
// mass); 8 % lost and 8 % a year cost 0.6 * (8 + 1) = 5.4 % of the electricity.
func TestCostOfWaiting(t *testing.T) {
	s := system()
	s.RefrigerantName = "R404A"
	f := ahead(ChargeLoss)
	f.LossKG, f.Lost, f.LossPct = 4, 8, 8
	for _, c := range []struct {
		w    Weights
		want float64
	}{{Weights{Refrigerant: 30}, 30}, {Weights{CO2e: 100}, 392.2}, {Weights{Energy: 10}, 54}, {Weights{30, 100, 10}, 476.2}} {
		if Outlook(&f, s, c.w); math.Abs(f.Waiting-c.want) > 0.2 {
			t.Errorf("%+v: %.1f, want %.1f", c.w, f.Waiting, c.want)
		}
	}
	if Outlook(&f, s, Weights{}); !math.IsNaN(f.Waiting) {
		t.Errorf("without weights: %v", f.Waiting)
	}
	coil := ahead(CondenserFouling)
	coil.ID, coil.Size, coil.PerYear = "B/condenser-fouling/2025-01-01", 8, 8
	list := []table.Finding{f, coil}
	for i := range list {
		Outlook(&list[i], s, Weights{Energy: 10})
	}
	Rank(list)
	if order := []string{list[0].Kind, list[1].Kind}; !slices.Equal(order, []string{CondenserFouling, ChargeLoss}) || list[0].Rank != 1 {
		t.Errorf("by electricity: %v, want the coil first", order)
	}
}
