package energy

import (
	"math"
	"math/rand/v2"
	"testing"
)

// series is x = -10, -9.5 ... 20 and y = 8 + 1.5·max(0, 15-x) + 0.4·sin(12.9898·i).
func series() []Observation {
	var obs []Observation
	for i := range 61 {
		x := -10 + 0.5*float64(i)
		obs = append(obs, Observation{Day: i, Temp: x, Y: 8 + 1.5*pos(15-x) + 0.4*math.Sin(12.9898*float64(i+1))})
	}
	return obs
}

// Reference values from R 4.2.2: least squares over the change point, and package
// segmented 1.6-2.
func TestChangePointsAgainstR(t *testing.T) {
	m, err := Fit(Heating3, series(), false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "change point", m.Low, 15.125909477, 1e-5)
	near(t, "base", m.Base, 7.847888097, 1e-6)
	near(t, "slope", m.Left, 1.499987180, 1e-6)
	near(t, "SSE", m.SSE, 4.525907197, 1e-8)
	near(t, "CV(RMSE), %", m.CV, 1.1795668, 1e-6)
	near(t, "NMBE, %", m.NMBE, 0, 1e-9)
	if m, err = Fit(Both4, series(), false); err != nil {
		t.Fatal(err)
	}
	near(t, "4P change point", m.Low, 15.25071086, 1e-4)
	near(t, "4P left slope", -m.Left, -1.5, 2e-5) // segmented stops its search a little early
	near(t, "4P right slope", m.Right, 0.074901, 1e-5)
	near(t, "4P SSE", m.SSE, 4.41019622968, 1e-7)
}

// Law: data made of a shape give its parameters back; 3P cooling is 3P heating in
// a mirror.
func TestFitGivesBackWhatWasPutIn(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 8))
	truth := Model{Shape: Both5, Base: 20, Left: 2, Right: 1.2, Low: 6, High: 19, Other: -5, DayTypes: true}
	var obs []Observation
	for d := range 365 {
		o := Observation{Day: d, Temp: 12 + 12*math.Sin(float64(d)/58), Other: d%7 > 4}
		o.Y = truth.Value(o) + 0.2*r.NormFloat64()
		obs = append(obs, o)
	}
	m, err := Best(obs, true)
	if err != nil {
		t.Fatal(err)
	}
	if m.Shape != Both5 {
		t.Fatalf("shape %s", m.Shape)
	}
	near(t, "low", m.Low, 6, 0.3)
	near(t, "high", m.High, 19, 0.3)
	near(t, "left", m.Left, 2, 0.05)
	near(t, "right", m.Right, 1.2, 0.05)
	near(t, "other days", m.Other, -5, 0.1)
	mirrored := series()
	for i := range mirrored {
		mirrored[i].Temp = -mirrored[i].Temp
	}
	cold, _ := Fit(Heating3, series(), false)
	warm, err := Fit(Cooling3, mirrored, false)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mirrored change point", warm.High, -cold.Low, 1e-5)
	near(t, "mirrored SSE", warm.SSE, cold.SSE, 1e-8)
}

// By hand: y 10, 20, 30 against 11, 19, 32, p = 1: residuals -1, 1, -2; √(6/2) = 1.7321 of
// ȳ = 20 is 8.660 %; NMBE 100·(-2)/(2·20) = -5 %.
func TestGuidelineFormulasByHand(t *testing.T) {
	y, fitted := []float64{10, 20, 30}, []float64{11, 19, 32}
	near(t, "CV(RMSE), %", CVRMSE(y, fitted, 1), 8.660254, 1e-6)
	near(t, "NMBE, %", NMBE(y, fitted, 1), -5, 1e-12)
	if why := CalibratedHourly.Meets(&Model{CV: 31}); why == "" {
		t.Error("CV(RMSE) of 31 % meets a limit of 30 %")
	}
	if why := CalibratedMonthly.Meets(&Model{CV: 14, NMBE: -5.1}); why == "" {
		t.Error("NMBE of -5.1 % meets a limit of 5 %")
	}
}

// Too little, or weather that stands still, is an error, never a model.
func TestFitRefuses(t *testing.T) {
	if _, err := Fit(Heating3, series()[:5], false); err == nil {
		t.Error("five days are fitted")
	}
	flat := series()
	for i := range flat {
		flat[i].Temp = 12
	}
	if _, err := Best(flat, false); err == nil {
		t.Error("weather that stands still is fitted")
	}
}

// By hand: y = 20 - 0.5·T + 0.04·T² is found again, and preferred to pieces of lines.
func TestParabolaIsFound(t *testing.T) {
	var obs []Observation
	for d := range 120 {
		x := -5 + 30*float64(d*37%120)/120
		obs = append(obs, Observation{Day: d, Temp: x, Y: 20 - 0.5*x + 0.04*x*x + 0.05*math.Sin(12.9898*float64(d))})
	}
	m, err := Best(obs, false)
	if err != nil || m.Shape != Parabola {
		t.Fatalf("%+v, %v", m, err)
	}
	near(t, "base", m.Base, 20, 0.05)
	near(t, "slope", m.Right, -0.5, 0.01)
	near(t, "square", m.Left, 0.04, 0.001)
}
