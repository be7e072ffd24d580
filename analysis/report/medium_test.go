package report

import (
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// logOnly is a system whose latest log holds the columns.
func logOnly(kind register.Kind, columns ...string) System {
	s := System{Register: register.System{ID: "A1", Kind: kind}, Log: &Log{Times: []time.Time{on("2025-01-02")}}}
	for _, c := range columns {
		s.Log.Columns = append(s.Log.Columns, Column{Name: c, Values: []float64{7}})
	}
	return s
}

// What stands in the column outdoor_temp_c: outdoor air where it was logged, else
// what enters the coil on the weather's side (the table's own description).
func TestMediumOfASystem(t *testing.T) {
	empty := logOnly(register.Chiller, "sink_inlet_temp_c", "outdoor_temp_c")
	empty.Log.Columns[1].Values[0] = nan
	for _, c := range []struct {
		system System
		want   string
	}{
		{System{}, ""},
		{logOnly(register.ColdRoom, "outdoor_temp_c", "condenser_air_on_temp_c"), ""},
		{logOnly(register.ColdRoom, "sink_inlet_temp_c", "condenser_air_on_temp_c"), "condenser inlet air"},
		{logOnly(register.Chiller, "sink_inlet_temp_c", "source_inlet_temp_c"), "condenser inlet water"},
		{empty, "condenser inlet water"},
		{logOnly(register.WaterHeatPump, "sink_inlet_temp_c", "source_inlet_temp_c"), "evaporator inlet water"},
		{logOnly(register.GroundHeatPump, "outdoor_temp_c", "source_inlet_temp_c"), "evaporator inlet brine"},
		{logOnly(register.WaterHeatPump), "evaporator inlet water"},
		{logOnly(register.AirHeatPump, "evaporator_air_on_temp_c", "sink_inlet_temp_c"), "evaporator inlet air"},
	} {
		if got := c.system.medium().Place; string(got) != c.want {
			t.Errorf("%v of %v: %q, want %q", c.system.Log, c.system.Register.Kind, got, c.want)
		}
	}
}

// The tables' own sentences follow.
func TestProseOfAMedium(t *testing.T) {
	const text = "fell by 2.0 K from 2025-01-02, at 40 °C outdoors; outdoor temperature varied by -3 K"
	got := plain(logOnly(register.Chiller, "sink_inlet_temp_c").prose(text))
	if want := "Fell by 2.0 K from 2 Jan 2025, at 40 °C condenser inlet water; condenser inlet water temperature varied by −3 K."; got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if got := plain(System{}.prose(text)); !strings.Contains(got, "40 °C outdoors; outdoor temperature varied") {
		t.Errorf("outdoor air: %q", got)
	}
}
