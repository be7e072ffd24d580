package register

import (
	"math"
	"testing"
	"testing/fstest"
)

// What other files name behind a column of the same header stands in for what a row leaves
// open: the widest limits, without serial number and calibration, whatever the order of rows.
func TestAlike(t *testing.T) {
	r, err := Load(t.Context(), fstest.MapFS{
		"systems.csv": {Data: []byte("system\nA1\nA2\nA3\n")},
		"channels.csv": {Data: []byte("system,column,channel,instrument\n" +
			"A1,Suction  temp (°C),suction_temp,T1\nA2,suction temp (°C),suction_temp,T2\nA3,Suction temp (°C),suction_temp,\nA1,t3,liquid_temp,T3\n")},
		"instruments.csv": {Data: []byte("serial,kind,limit,unit,offset\nT1,temperature,0.3,°C,\nT2,temperature,0.6,°C,0.2\nT3,temperature,,,\n")},
	})
	if err != nil || len(r.Problems) > 0 {
		t.Fatal(err, r.Problems)
	}
	i, ok := r.Alike("suction_temp", "Suction temp (°C)")
	if !ok || i.Limit != 0.6 || i.Serial != "" || !math.IsNaN(i.Offset) {
		t.Errorf("%v %+v, want ±0.6 K of no serial number", ok, i)
	}
	for _, c := range [][2]string{{"liquid_temp", "t3"}, {"liquid_temp", "Suction temp (°C)"}, {"suction_temp", "other"}} {
		if i, ok := r.Alike(c[0], c[1]); ok {
			t.Errorf("%v: %+v, want nothing", c, i)
		}
	}
}
