package drift

import (
	"math"
	"testing"

	"rimelog/pipeline/table"
)

// A loss says how much charge has gone and goes a year. R410A has the potential 2088 of
// Regulation (EU) 517/2014, annex I by mass, so that 0.5 kg are 1.04 t.
func TestGoneTellsChargeAndCO2(t *testing.T) {
	f := table.Finding{Kind: ChargeLoss, State: Open, Lost: 9, LostLo: 5, LostHi: 13, LossKG: 0.5, LossKGLo: 0.2, LossKGHi: 0.6, CalibratedBy: 2}
	s := system()
	s.RefrigerantName = "R410A"
	Outlook(&f, s, Weights{})
	if math.Abs(f.LossCO2e-0.5*2.088) > 1e-3 || math.Abs(f.LossCO2eHi-0.6*2.088) > 1e-3 {
		t.Errorf("%g t CO2e, up to %g", f.LossCO2e, f.LossCO2eHi)
	}
	if got, want := Gone(f), "about 9 % of the charge gone (5 to 13 %), 0.50 kg a year (0.20 to 0.60), which are 1.04 t CO2e; calibrated by 2 weighed addition(s)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	s.RefrigerantName = ""
	if Outlook(&f, s, Weights{}); !math.IsNaN(f.LossCO2e) {
		t.Errorf("%g t CO2e of a refrigerant that is not known", f.LossCO2e)
	}
	if f.LostHi = math.NaN(); Gone(f) != "" {
		t.Errorf("%q, which nobody can tell", Gone(f))
	}
}
