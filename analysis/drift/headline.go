package drift

import (
	"fmt"
	"math"

	"rimelog/pipeline/table"
)

// Moved is what a finding's visits showed, or how far its feature moved, in a line.
func Moved(f table.Finding) string {
	feature, unit := Words(f.Feature), MeasuredIn(f.Feature)
	switch {
	case f.Observed != "":
		return f.Observed
	case math.IsNaN(f.SizeLo) || math.IsNaN(f.SizeHi):
		return fmt.Sprintf("%s %+.1f %s (its interval is open)", feature, f.Size, unit)
	}
	return fmt.Sprintf("%s %+.1f %s (%+.1f to %+.1f)", feature, f.Size, unit, f.SizeLo, f.SizeHi)
}

// Gone is how much charge a finding says has gone and goes a year, in a line; empty where that
// cannot be told.
func Gone(f table.Finding) string {
	if !TellsLost(f) {
		return ""
	}
	text := fmt.Sprintf("about %.0f %% of the charge gone (%.0f to %.0f %%)", f.Lost, f.LostLo, f.LostHi)
	switch {
	case f.LossCO2e > 0:
		text += fmt.Sprintf(", %.2f kg a year (%.2f to %.2f), which are %.2f t CO2e", f.LossKG, f.LossKGLo, f.LossKGHi, f.LossCO2e)
	case f.LossKG > 0:
		text += fmt.Sprintf(", %.2f kg a year (%.2f to %.2f)", f.LossKG, f.LossKGLo, f.LossKGHi)
	case f.LossPct > 0:
		text += fmt.Sprintf(", %.0f %% a year (%.0f to %.0f %%)", f.LossPct, f.LossPctLo, f.LossPctHi)
	}
	if f.CalibratedBy > 0 {
		text += fmt.Sprintf("; calibrated by %d weighed addition(s)", f.CalibratedBy)
	}
	return text
}

// TellsLost tells whether a finding says how much charge has gone.
func TellsLost(f table.Finding) bool { return f.LostHi > 0 && !math.IsNaN(f.Lost+f.LostLo) }
