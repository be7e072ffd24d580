package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
	"rimelog/pipeline/register"
)

func TestALongTableIsReadChannelByChannel(t *testing.T) {
	for _, mark := range []string{",", "."} {
		r := readBytes(t, []byte(logtest.LongFile(40, mark)), logtest.InZone(time.UTC))
		f := r.Parts[0].Samples
		if r.Understanding.Layout != "long" || f.Rows() != 40 || r.Values.Stored != 100 {
			t.Fatalf("%d rows, %+v %+v", f.Rows(), r.Values, r.Understanding)
		}
		p, _ := f.Fixed32("suction_pressure_kpa")
		w, valid := f.Fixed32("power_kw")
		if p[8] != 262*1000+1000+101325 || !valid.At(8) || w[8] != 1208 || valid.At(9) {
			t.Errorf("row 8: %d %d", p[8], w[8])
		}
	}
}

// A channel that is first named beyond the sample starts the file again.
func TestALateChannelOfALongTable(t *testing.T) {
	file := logtest.LongFile(2000, ",") + logtest.Noon.Add(2000*time.Minute).Format("02.01.2006 15:04:05") + ";Outdoor temp;4,5;°C\n"
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if v, _ := r.Parts[0].Samples.Fixed32("outdoor_temp_c"); len(v) != 2001 || v[2000] != 4500 {
		t.Errorf("%d rows, %+v", len(v), r.Understanding.Columns)
	}
}

func TestTheRegisterNamesChannelsOfALongTable(t *testing.T) {
	file := strings.ReplaceAll(logtest.LongFile(20, ","), "Liquid temp", "S3")
	a := logtest.InZone(time.UTC)
	a.Systems[0].Rows = []register.Channel{{Column: "S3", Channel: "liquid_temp"}}
	r := readBytes(t, []byte(file), a)
	if v, valid := r.Parts[0].Samples.Fixed32("liquid_temp_c"); !valid.All() || v[0] != 35200 {
		t.Errorf("%+v", r.Understanding.Columns)
	}
}

// A column of modes beside one of values is no long table.
func TestModesAreNoChannels(t *testing.T) {
	file := "Time;Mode;Power [W]\n"
	for i := range 40 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;%s;%d\n", i, []string{"cool", "off"}[i%2], 1200+i)
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Understanding.Layout != "wide" || r.Parts[0].Samples.Rows() != 40 || r.Parts[0].Extras.Rows() != 40 {
		t.Errorf("%+v", r.Understanding)
	}
}
