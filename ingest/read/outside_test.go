package read_test

import (
	"bytes"
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/read/readtest"
	"rimelog/thermo/units"
)

// clockChanges are moments at which clocks changed, with the offsets from UTC in
// minutes before and after. Source: IANA time zone database (2025a), files and rules
// named.
var clockChanges = []struct {
	zone          string
	at            string // UTC
	before, after int
	source        string
}{
	{"Europe/London", "2025-03-30 01:00", 0, 60, "europe, rule EU"},
	{"Europe/London", "2025-10-26 01:00", 60, 0, "europe, rule EU"},
	{"Europe/Dublin", "2025-10-26 01:00", 60, 0, "europe, rule Eire: winter time is the exception"},
	{"America/Los_Angeles", "2025-11-02 09:00", -420, -480, "northamerica, rule US"},
	{"America/St_Johns", "2025-03-09 05:30", -210, -150, "northamerica, rule Canada: half hours from UTC"},
	{"America/Santiago", "2025-04-06 03:00", -180, -240, "southamerica, rule Chile: at midnight"},
	{"America/Sao_Paulo", "2019-02-17 02:00", -120, -180, "southamerica, rule Brazil: the last summer time"},
	{"America/Caracas", "2016-05-01 07:00", -270, -240, "southamerica, zone line: the zone itself changed"},
	{"Australia/Lord_Howe", "2025-04-05 15:00", 660, 630, "australasia, rule LH: by half an hour"},
	{"Australia/Lord_Howe", "2025-10-04 15:30", 630, 660, "australasia, rule LH"},
	{"Pacific/Auckland", "2025-04-05 14:00", 780, 720, "australasia, rule NZ"},
	{"Pacific/Chatham", "2025-09-27 14:00", 765, 825, "australasia, rule Chatham: quarter hours from UTC"},
	{"Pacific/Apia", "2011-12-30 10:00", -600, 840, "australasia, zone line: a whole day was skipped"},
	{"Asia/Pyongyang", "2018-05-04 15:00", 510, 540, "asia, zone line"},
	{"Asia/Tehran", "2022-09-21 19:30", 270, 210, "asia, rule Iran: the last summer time"},
	{"Africa/Casablanca", "2025-02-23 02:00", 60, 0, "africa, rule Morocco: Ramadan"},
	{"Antarctica/Troll", "2025-03-30 01:00", 0, 120, "antarctica, rule Troll: by two hours"},
}

// A logger that follows its zone is read to the second over every kind of change.
func TestClockChangesAgainstTheZoneDatabase(t *testing.T) {
	for _, c := range clockChanges {
		t.Run(c.zone+" "+c.at, func(t *testing.T) {
			loc, err := time.LoadLocation(c.zone)
			if err != nil {
				t.Fatal(err)
			}
			at, err := time.Parse("2006-01-02 15:04", c.at)
			if err != nil {
				t.Fatal(err)
			}
			_, before := at.Add(-time.Second).In(loc).Zone()
			_, after := at.In(loc).Zone()
			if before != 60*c.before || after != 60*c.after {
				t.Fatalf("the zone database of this machine has offsets %d and %d s, want %d and %d min (%s)", before, after, c.before, c.after, c.source)
			}
			var want []time.Time
			for i := range 96 {
				want = append(want, at.Add(time.Duration(i-48)*5*time.Minute))
			}
			sameTimes(t, readIn(t, localLog(want, loc), loc), want)
		})
	}
}

// localLog writes a file with the local times of a zone.
func localLog(times []time.Time, loc *time.Location) []byte {
	var b bytes.Buffer
	b.WriteString("Time;Power [W]\n")
	for i, at := range times {
		fmt.Fprintf(&b, "%s;%d\n", at.In(loc).Format("2006-01-02 15:04:05"), 1000+i)
	}
	return b.Bytes()
}

func readIn(t *testing.T, file []byte, loc *time.Location) pass.Reading {
	t.Helper()
	a := answers.Answers{Systems: []answers.System{{ID: "KA-07", Zone: loc, Altitude: 0}}}
	return readtest.File(t, raw.Source{ReaderAt: bytes.NewReader(file), Size: int64(len(file))}, a)
}

func sameTimes(t *testing.T, r pass.Reading, want []time.Time) {
	t.Helper()
	if len(r.Parts) == 0 {
		t.Fatalf("nothing was read: %+v", r.Understanding)
	}
	got := r.Parts[0].Samples.Times("time")
	if len(got) != len(want) {
		t.Fatalf("%d samples, want %d: %+v %+v", len(got), len(want), r.Lines, r.Understanding.Quarantined)
	}
	power, _ := r.Parts[0].Samples.Fixed32("power_kw")
	for i, at := range want {
		if got[i] != at.UnixMicro() || power[i] != int32(1000+i) {
			t.Fatalf("sample %d: %d W at %v, want %d W at %v", i, power[i], time.UnixMicro(got[i]).UTC(), 1000+i, at.UTC())
		}
	}
}

// Factors that are exact by definition, for units that no rounded table row of the
// units' own tests covers. The value is what one of the unit is in the canonical one.
func TestUnitFactorsAgainstTheirDefinitions(t *testing.T) {
	const (
		brochure = "SI Brochure, 9th ed. (BIPM 2019)"
		nist     = "NIST SP 811 (2008), appendix B.8"
	)
	for _, tt := range []struct{ label, want, source string }{
		{"Pa", "1/1000", brochure + ", table 7"},
		{"hPa", "1/10", brochure + ", table 7"},
		{"MPa", "1000", brochure + ", table 7"},
		{"mH2O", "9.80665", nist + ": centimeter of water, conventional, 98.0665 Pa"},
		{"mmH2O", "0.00980665", nist + ": millimeter of water, conventional, 9.80665 Pa"},
		{"inH2O", "0.24908891", nist + ": inch of water, conventional, 249.0889 Pa"},
		{"ftH2O", "2.98906692", nist + ": foot of water, conventional, 2989.067 Pa"},
		{"tons", "12000 × Btu/h", nist + ": ton of refrigeration (12 000 BtuIT/h), 3516.853 W"},
		{"mbh", "1000 × Btu/h", nist + ": BtuIT/h, 0.2930711 W"},
		{"kcal/h", "1.163/1000", nist + ": kilocalorieIT 4186.8 J, an hour 3600 s"},
		{"lb/min", "0.45359237/60", nist + ": pound (avoirdupois), footnote 22"},
		{"W", "1/1000", brochure + ", table 7"},
		{"Wh", "1/1000", nist + ": watt hour, 3600 J"},
		{"MWh", "1000", nist + ": watt hour, 3600 J"},
		{"kJ", "1/3600", nist + ": watt hour, 3600 J"},
		{"MJ", "1000/3600", nist + ": watt hour, 3600 J"},
		{"m3/s", "3600", brochure + ", table 8: hour 3600 s"},
		{"m3/min", "60", brochure + ", table 8: minute 60 s"},
		{"l/min", "6/100", brochure + ", table 8: litre 10^-3 m3"},
		{"l/s", "36/10", brochure + ", table 8: litre 10^-3 m3"},
		{"l/h", "1/1000", brochure + ", table 8: litre 10^-3 m3"},
		{"kg/h", "1/3600", brochure + ", table 8: hour 3600 s"},
		{"kg/min", "1/60", brochure + ", table 8: minute 60 s"},
		{"g/s", "1/1000", brochure + ", table 7"},
		{"mA", "1/1000", brochure + ", table 7"},
		{"mV", "1/1000", brochure + ", table 7"},
		{"kV", "1000", brochure + ", table 7"},
		{"rpm", "1/60", brochure + ", table 8: minute 60 s"},
		{"ms", "1/1000", brochure + ", table 7"},
		{"min", "60", brochure + ", table 8"},
		{"h", "3600", brochure + ", table 8"},
		{"lb", "0.45359237", nist + ": pound (avoirdupois), footnote 22"},
		{"°F", "5/9", nist + ": degree Fahrenheit (temperature interval)"},
	} {
		u, err := units.Parse(tt.label)
		if err != nil {
			t.Errorf("%s: %v", tt.label, err)
			continue
		}
		if want := fraction(tt.want); u.Factor().Cmp(want) != 0 {
			t.Errorf("%s: factor %s, want %s (%s)", tt.label, u.Factor().RatString(), want.RatString(), tt.source)
		}
	}
}

// fraction reads "a/b" and "n × Btu/h", with the Btu of NIST SP 811: 1055.05585262 J.
func fraction(text string) *big.Rat {
	if n, ok := strings.CutSuffix(text, " × Btu/h"); ok {
		return new(big.Rat).Mul(fraction(n), fraction("1055.05585262/3600000"))
	}
	over, under, parts := strings.Cut(text, "/")
	v, _ := new(big.Rat).SetString(over)
	if d, ok := new(big.Rat).SetString(under); parts && ok {
		v.Quo(v, d)
	}
	return v
}

// One of each unit, through a whole file: from the header's label to the sample.
func TestOneOfEachUnitThroughAFile(t *testing.T) {
	for _, tt := range []struct {
		header, cell, column string
		want                 float64
		source               string
	}{
		{"Suction pressure [psia]", "100", "suction_pressure_kpa", 689.476, "NIST SP 811, B.8: 6.894757 kPa"},
		{"Suction pressure [bar(a)]", "1", "suction_pressure_kpa", 100, "SI Brochure, table 8"},
		{"Suction pressure [bar(g)]", "1", "suction_pressure_kpa", 201.325, "ISO 2533:1975: 101.325 kPa at sea level"},
		{"Suction pressure [kg/cm2 abs]", "10", "suction_pressure_kpa", 980.665, "NIST SP 811, B.8: 98.0665 kPa"},
		{"Suction pressure [MPa abs]", "0.5", "suction_pressure_kpa", 500, "SI Brochure, table 7"},
		{"Outdoor temp [°F]", "0", "outdoor_temp_c", -17.778, "NIST SP 811, B.9"},
		{"Outdoor temp [K]", "273.15", "outdoor_temp_c", 0, "SI Brochure, sec. 2.3.1"},
		{"Power [Btu/h]", "12000", "power_kw", 3.517, "NIST SP 811, B.8: ton of refrigeration (12 000 Btu/h) 3.516853 kW"},
		{"Sink flow [gpm]", "100", "sink_flow_m3_h", 22.712, "NIST SP 811, B.8: 6.309020E-05 m3/s"},
		{"Compressor speed [rpm]", "3000", "compressor_speed_hz", 50, "SI Brochure, table 8"},
	} {
		var b strings.Builder
		b.WriteString("Time;" + tt.header + "\n")
		for i := range 20 {
			fmt.Fprintf(&b, "2025-03-25 12:%02d:00;%s\n", i, tt.cell)
		}
		r := readIn(t, []byte(b.String()), time.UTC)
		got := r.Parts[0].Samples.Floats(nil, tt.column)
		if len(got) != 20 || math.Abs(got[7]-tt.want) > 0.0006 {
			t.Errorf("%s %s: %v, want %v (%s); %+v", tt.cell, tt.header, got, tt.want, tt.source, r.Understanding.Columns)
		}
	}
}
