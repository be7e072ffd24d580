package reporttest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/analysis/report"
	"rimelog/pipeline/table"
)

// judge writes down trends and findings as the plan has them.
func (p plan) judge(visits []table.Visit) (trends []table.Trend, findings []table.Finding) {
	used := 0
	for i, v := range visits {
		if v.Use == "trend" && i >= p.repaired {
			used++
		}
	}
	if used == 0 {
		return nil, nil
	}
	first, last := visits[p.repaired], visits[len(visits)-1]
	years := last.Start.Sub(first.Start).Hours() / 24 / 365.25
	for _, f := range []struct {
		column             string
		perYear, outdoor   float64
		level, noise, half float64
		kind               string
	}{
		{"subcooling_k", p.subcoolingPerYear, 0.07, last.Subcooling - 0.07*(last.OutdoorTemp-12), 0.4, 0.45, "charge loss"},
		{"superheat_k", -0.25 * p.subcoolingPerYear, 0.01, last.Superheat, 0.6, 0.5, ""},
		{"condenser_td_k", p.condenserPerYear, -0.02, last.CondenserTD, 0.4, 0.4, "condenser fouling"},
		{"discharge_superheat_k", 0.02, 0, last.DischargeSuperheat, 0.9, 0.8, ""},
		{"evaporator_td_k", 0.05, 0.01, last.EvaporatorTD, 0.5, 0.4, ""},
	} {
		t := table.Trend{DecidedOn: last.Start, Feature: f.column, Verdict: "within noise", Visits: int64(used), Since: first.Start,
			PerYear: f.perYear, Lo: f.perYear - f.half, Hi: f.perYear + f.half, Change: f.perYear * years,
			ChangeLo: (f.perYear - f.half) * years, ChangeHi: (f.perYear + f.half) * years,
			Level: f.level, PerOutdoor: f.outdoor, OutdoorRef: 12, Noise: f.noise, Significance: 0.41}
		if used < 6 {
			t = unjudged(f.column, last.Start, used)
		} else if math.Abs(f.perYear) > f.half {
			t.Verdict, t.Significance, t.Suspected = map[bool]string{true: "rising", false: "falling"}[f.perYear > 0], 0.0004, first.Start.Add(100*day)
			if f.kind != "" {
				findings = append(findings, p.finding(f.kind, t, last))
			}
		}
		trends = append(trends, t)
	}
	return trends, findings
}

func unjudged(feature string, on time.Time, used int) table.Trend {
	nan := math.NaN()
	return table.Trend{DecidedOn: on, Feature: feature, Verdict: "not judged", Note: fmt.Sprintf("%d visits: too few to judge a trend, want 6", used), Visits: int64(used),
		PerYear: nan, Lo: nan, Hi: nan, Change: nan, ChangeLo: nan, ChangeHi: nan, Level: nan, PerOutdoor: nan, OutdoorRef: nan, Noise: nan, Significance: nan}
}

// closed is the finding that the repair settled.
func (p plan) closed(visits []table.Visit) table.Finding {
	nan := math.NaN()
	return table.Finding{
		ID: p.id + "-char-0", System: p.id, Site: p.site, Kind: "charge loss", State: "closed by data", Feature: "subcooling_k",
		RaisedOn: visits[p.repaired-1].Start, ChangedOn: visits[p.repaired+1].Start, ClearedOn: visits[p.repaired+1].Start, Suspected: visits[1].Start,
		Size: -1.8, SizeLo: -2.5, SizeHi: -1.1, PerYear: nan, PerYearLo: nan, PerYearHi: nan, RaisedSize: nan, RaisedYear: nan, Visits: 5,
	}
}

var ranks = map[string]int64{"QH-CR2 charge loss": 1, "FD-CH1 condenser fouling": 2, "TO-AC3 charge loss": 3, "QH-CR2 condenser fouling": 4}

func (p plan) finding(kind string, t table.Trend, last table.Visit) table.Finding {
	f := table.Finding{
		ID: p.id + "-" + kind[:4] + "-1", Rank: ranks[p.id+" "+kind], System: p.id, Site: p.site, Kind: kind, State: "open",
		RaisedOn: t.Suspected.Add(190 * day), ChangedOn: last.Start, Suspected: t.Suspected, Feature: t.Feature,
		Size: t.Change, SizeLo: t.ChangeLo, SizeHi: t.ChangeHi, PerYear: t.PerYear, PerYearLo: t.Lo, PerYearHi: t.Hi,
		RaisedSize: t.Change * 0.55, RaisedYear: t.PerYear * 0.9, Visits: t.Visits,
		Evidence:    evidence("subcooling fell", t),
		Alternative: "another set of probes or another place of the liquid probe; a subcooler or internal heat exchanger that works less; condenser air or head pressure control changed",
		NextCheck:   "direct leak check recommended; before that compare the probes with each other and make sure the liquid probe sits where it sat",
		LimitedBy:   "subcooler is not in the register; outdoor temperature was not logged: condensing temperature stands in",
	}
	if kind == "condenser fouling" {
		f.Evidence = evidence("condenser temperature difference rose", t)
		f.NextCheck = "look at the condenser coil and its fans; if clean, compare the standstill pressure with the temperature of the coil"
		f.Alternative = "a fan that fails or turns the wrong way; recirculated air; non-condensable gas; overcharge; an air or water probe moved"
		f.LimitedBy = ""
	}
	return f
}

// evidence is worded as package drift words it.
func evidence(moved string, t table.Trend) string {
	return fmt.Sprintf("%s by %.1f K (%+.1f to %+.1f) since %s, over %d visits from %s to %s: %+.1f K a year (%+.1f to %+.1f); outdoor temperature, load and instruments are taken out, visits scatter by %.1f K. Superheat within noise (+0.1 K).",
		moved, math.Abs(t.Change), t.ChangeLo, t.ChangeHi, t.Suspected.Format(time.DateOnly), t.Visits, t.Since.Format(time.DateOnly), t.DecidedOn.Format(time.DateOnly), t.PerYear, t.Lo, t.Hi, t.Noise)
}

// log is the samples of the latest visit: a start, then hunting about the means,
// with a gap where the logger was moved.
func (p plan) log(rng *rand.Rand, v table.Visit) (*report.Log, []table.Window) {
	const step = 5 * time.Second
	n := p.minutes * 12
	l := &report.Log{}
	outdoor := "outdoor_temp_c"
	if p.waterCooled {
		outdoor = "sink_inlet_temp_c"
	}
	names := []string{"suction_pressure_kpa", "discharge_pressure_kpa", "suction_temp_c", "discharge_temp_c", "liquid_temp_c", outdoor, "room_temp_c", "power_kw"}
	columns := make([][]float64, len(names))
	for i := range n {
		if p.minutes > 10 && i > n/2 && i < n/2+n/25 {
			continue
		}
		l.Times = append(l.Times, v.Start.Add(time.Duration(i)*step))
		settle := 1 - math.Exp(-float64(i)/90)
		if p.minutes < 10 {
			settle = 1
		}
		hunt := 1.2 * math.Sin(2*math.Pi*float64(i)/38)
		for k, x := range []float64{
			v.SuctionPressure*(1.3-0.3*settle) + 3*hunt, v.DischargePressure*(0.6+0.4*settle) + 4*rng.NormFloat64(),
			v.SuctionTemp + 6*(1-settle) + 1.5*hunt, v.DischargeTemp - 40*(1-settle) + 0.3*rng.NormFloat64(),
			v.LiquidTemp - 8*(1-settle) + 0.1*rng.NormFloat64(), v.OutdoorTemp + 0.2*rng.NormFloat64(), v.RoomTemp + 2*(1-settle), v.Power*(0.7+0.3*settle) + 0.02*rng.NormFloat64(),
		} {
			columns[k] = append(columns[k], x)
		}
	}
	for k, name := range names {
		l.Columns = append(l.Columns, report.Column{Name: name, Values: columns[k]})
	}
	return l, p.windows(v)
}

func (p plan) windows(v table.Visit) (out []table.Window) {
	if p.minutes < 10 {
		return []table.Window{{Start: v.Start, End: v.End, Grade: "oscillating", Provisional: true, StartUnknown: true, Samples: v.Samples, Period: 85,
			Superheat: v.Superheat, SuperheatU: v.SuperheatU, Subcooling: v.Subcooling, SubcoolingU: v.SubcoolingU,
			EvaporatingTemp: v.EvaporatingTemp, CondensingTemp: v.CondensingTemp, OutdoorTemp: v.OutdoorTemp}}
	}
	total := time.Duration(p.minutes) * time.Minute
	for i, share := range [][2]float64{{0.28, 0.49}, {0.56, 0.9}} {
		w := table.Window{Start: v.Start.Add(time.Duration(share[0] * float64(total))), End: v.Start.Add(time.Duration(share[1] * float64(total))),
			Grade: "steady", Samples: 200, Period: math.NaN(), Superheat: v.Superheat, SuperheatU: v.SuperheatU, Subcooling: v.Subcooling, SubcoolingU: v.SubcoolingU,
			EvaporatingTemp: v.EvaporatingTemp, CondensingTemp: v.CondensingTemp, OutdoorTemp: v.OutdoorTemp}
		if i == 1 {
			w.Grade, w.Period = "oscillating", 190
		}
		out = append(out, w)
	}
	return out
}

func uploads() []table.Upload {
	return []table.Upload{
		{Upload: "aa01", Path: "QH-CR2/2025-10-03.csv", Status: "read", Systems: "QH-CR2", Bytes: 81234, Lines: 824, Data: 816, Header: 2, Preamble: 5, Blank: 1, Values: 6528, Stored: 6500, Missing: 28},
		{Upload: "aa02", Path: "FD-CH1/autumn check.csv", Status: "read", Systems: "FD-CH1", Bytes: 90211, Lines: 901, Data: 886, Header: 1, Footer: 2, Quarantined: 12, Values: 7088, Stored: 7071, Refused: 17},
		{Upload: "aa03", Path: "from the van/log0007.csv", Status: "waiting", Reason: "no system claims it; put it into a folder named like its system's ID", Bytes: 5512, Lines: 61, Waiting: 61},
		{Upload: "aa04", Path: "LM-HP1/visit 3.csv", Status: "unreadable", Systems: "LM-HP1", Reason: "the file holds nothing but fill bytes; read the logger out again", Bytes: 4096, Lines: 9, Quarantined: 9},
	}
}

func problems() []table.Problem {
	return []table.Problem{
		{Place: "register/systems.csv:7:5", System: "GH-FR1", Problem: "the refrigerant is not known: superheat, subcooling and all else that follows from pressures are not shown; slow change is judged by a refrigerant that the visits fit, where there is one", Remedy: "write the refrigerant into the line of GH-FR1", Weight: "left out"},
		{Place: "register/channels.csv:3:6", System: "LM-HP1", Problem: `nothing says whether "suction_pressure" is gauge or absolute`, Remedy: "look at the channel's unit, pressure reference and refrigerant in the register", Weight: "doubt"},
		{Place: "uploads/FD-CH1/autumn check.csv", System: "FD-CH1", Problem: "suction and liquid temperature swapped (D7): superheat 24.1 K", Remedy: "write into register/channels.csv: FD-CH1,,T2,suction_temp,,,,,,, and FD-CH1,,T1,liquid_temp,,,,,,,", Weight: "doubt", Rule: "D7"},
	}
}

// verdicts are what became of the uploads.
func verdicts() []table.UploadVerdict {
	return []table.UploadVerdict{
		{Upload: "aa01", Path: "QH-CR2/2025-10-03.csv", System: "QH-CR2", Verdict: table.UploadUsed, Visits: 1, Used: 1, Logged: 68, OffPct: 12, LeftPct: 16, MovingPct: 15, JudgedPct: 57, StoredPct: 99, Fingerprint: "P-1042 T-2210", Engineer: "P. Engineer"},
		{Upload: "aa02", Path: "FD-CH1/autumn check.csv", System: "FD-CH1", Verdict: table.UploadInPart, Reasons: "liquid temperature is in doubt (D10)", Rules: "D10 D24", Visits: 1, Used: 1, Logged: 74, JudgedPct: 60, MovingPct: 40, StoredPct: 97, Fingerprint: "P-2001", Engineer: "P. Engineer"},
		{Upload: "aa03", Path: "from the van/log0007.csv", Verdict: table.UploadUnused, Reasons: "no system claims it", StoredPct: nan},
		{Upload: "aa05", Path: "BENCH/four minutes.csv", System: "BENCH", Verdict: table.UploadUnused, Reasons: "logged too short", Rules: "D18", Visits: 1, Shown: 1, Logged: 4, ShownPct: 100, StoredPct: 100, Fingerprint: "P-1042 T-2210"},
	}
}

// logQuality is how good the logs are.
func logQuality() []table.LogQuality {
	return []table.LogQuality{
		{By: "all", Visits: 64, Used: 60, InPart: 1, Unused: 3, UsedPct: 95, UsedLo: 87, UsedHi: 98, JudgedPct: 61, Mistaken: 4, MistakePct: 6, MistakeLo: 2, MistakeHi: 15},
		{By: "engineer", Name: "P. Engineer", Visits: 22, Used: 20, InPart: 1, Unused: 1, UsedPct: 95, UsedLo: 78, UsedHi: 99, JudgedPct: 60, Mistaken: 2, MistakePct: 9, MistakeLo: 3, MistakeHi: 28, Commonest: "logged too short (D18): 1", Compared: "within noise of the others"},
		{By: "instrument set", Name: "P-1042 T-2210", Visits: 60, Used: 58, InPart: 0, Unused: 2, UsedPct: 97, UsedLo: 89, UsedHi: 99, JudgedPct: 62, Mistaken: 2, MistakePct: 3, MistakeLo: 1, MistakeHi: 11, Compared: "within noise of the others"},
		{By: "instrument", Name: "T-2210", Visits: 60, Used: 58, Unused: 2, UsedPct: 97, UsedLo: 89, UsedHi: 99, JudgedPct: 62, Mistaken: 2, MistakePct: 3, MistakeLo: 1, MistakeHi: 11},
	}
}
