package analysis

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// Each time has the instruments of the upload it comes from.
func TestInstrumentsOfATime(t *testing.T) {
	gauge := func(serial string, limit float64) sensor {
		i := register.NewInstrument(serial)
		i.Limit, i.Unit = limit, "kPa"
		return sensor{instrument: i, probe: cycle.ProbeOf(cycle.SuctionPressure, i)}
	}
	until := gauge("C", 3)
	until.to = time.UnixMicro(250)
	sources := []source{
		{told: &told{}, sensors: &sensors{list: []sensor{gauge("B", 20)}}, from: 0, to: 99},
		{told: &told{}, sensors: &sensors{list: []sensor{gauge("A", 5), until}}, from: 100, to: 300},
		{told: &told{}, sensors: &sensors{list: []sensor{gauge("D", 8)}}, from: 280, to: 400},
	}
	var generic cycle.Instruments
	generic.Limit[cycle.SuctionPressure] = 50
	known := newRoster(generic, sources)
	for _, tc := range []struct {
		at      int64
		serials []string
		limit   float64
	}{
		{50, []string{"B"}, 20},
		{200, []string{"A", "C"}, 5}, // two for one quantity: the less exact one counts
		{260, []string{"A"}, 5},      // C was there until 250
		{290, []string{"A", "D"}, 8}, // two uploads at a time
		{500, nil, 50},               // no upload: the generic class
	} {
		in := known.at(tc.at)
		if !slices.Equal(in.Serials, tc.serials) || in.Limit[cycle.SuctionPressure] != tc.limit {
			t.Errorf("at %d: %v ± %v, want %v ± %v", tc.at, in.Serials, in.Limit[cycle.SuctionPressure], tc.serials, tc.limit)
		}
	}
	for at := range int64(500) { // whatever was asked for before
		if in, want := known.at(at), shiftAt(generic, sources, at).instruments; !reflect.DeepEqual(in, want) {
			t.Errorf("at %d: %v, want %v", at, in.Serials, want.Serials)
		}
	}
}

func TestQuantityOfAChannel(t *testing.T) {
	for channel, want := range map[string]cycle.Quantity{
		"suction_pressure": cycle.SuctionPressure, "suction_temp": cycle.SuctionTemp, "sink_flow": cycle.SinkFlow, "compressor_speed": cycle.Speed,
	} {
		if got, ok := quantity(channel); !ok || got != want {
			t.Errorf("%s: got %v, %v; want %v", channel, got, ok, want)
		}
	}
	if _, ok := quantity("extra"); ok {
		t.Error("extra is taken for a quantity")
	}
}

// A logger that writes absolute pressures has no doubt of the air's; one of gauges has.
func TestAbsolutePressuresCountFromNoAir(t *testing.T) {
	decisions := json.RawMessage(`{"columns":[{"name":"lp","channel":"suction_pressure","pressure_reference":"absolute"},{"name":"hp","channel":"discharge_pressure","pressure_reference":"gauge"}]}`)
	var generic cycle.Instruments
	generic.Reference[cycle.SuctionPressure], generic.Reference[cycle.DischargePressure] = 4, 4
	src := source{told: &told{absolute: absoluteOf(columnsOf(decisions))}, sensors: &sensors{}, to: 1}
	in := shiftAt(generic, []source{src}, 1).instruments
	if got := in.Reference[cycle.SuctionPressure]; got != 0 {
		t.Errorf("absolute suction pressure: %v kPa of the air's, want none", got)
	}
	if got := in.Reference[cycle.DischargePressure]; got != 4 {
		t.Errorf("gauge discharge pressure: %v kPa of the air's, want 4", got)
	}
}
