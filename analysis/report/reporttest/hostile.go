package reporttest

import (
	"math"
	"strings"
	"time"

	"rimelog/analysis/report"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// HostileNames are names that a spreadsheet may hold and a page must bear.
var HostileNames = []string{
	`</script><script>document.title="owned"</script>`,
	`x__f__y "quoted" 'single' \back`,
	`<img src=x onerror=document.title="owned">`,
	"\u202eright to left \u05d0\u05d1\u05d2",
	strings.Repeat("long ", 39) + "end.",
	`$css:--ink {{.Title}} $fn:band`,
}

// Hostile returns systems that are hard to draw: hostile names everywhere, only
// NaN, one single point, and nothing at all.
func Hostile() report.Fleet {
	f := report.Fleet{AsOf: AsOf, Made: Made()}
	for i, name := range HostileNames {
		s := hostile("H"+string(rune('1'+i)), name)
		f.Systems = append(f.Systems, s)
		f.Findings = append(f.Findings, s.Findings...)
		f.Quality = append(f.Quality, table.Problem{Place: name, Problem: name, Remedy: name, Weight: "doubt"})
		f.Verdicts = append(f.Verdicts, table.UploadVerdict{Path: name, System: name, Verdict: table.UploadUnused, Reasons: name, Engineer: name, StoredPct: math.NaN()})
		f.LogQuality = append(f.LogQuality, table.LogQuality{By: "engineer", Name: name, Commonest: name, Compared: name})
		f.Uploads = append(f.Uploads, table.Upload{Path: name, Status: "waiting", Reason: name, Lines: 1, Waiting: 1})
	}
	only := hostile("NANS", "nothing but gaps")
	for i := range only.Visits {
		only.Visits[i] = gaps(only.Visits[i].Start)
	}
	only.Log.Columns = []report.Column{{Name: "suction_temp_c", Values: make([]float64, len(only.Log.Times))}}
	for i := range only.Log.Times {
		only.Log.Columns[0].Values[i] = math.NaN()
	}
	one := hostile("ONE", "one single point")
	one.Visits, one.Trends, one.Findings = one.Visits[:1], nil, nil
	one.Log = &report.Log{Times: one.Log.Times[:1], Columns: []report.Column{{Name: "liquid_temp_c", Values: []float64{31}}}}
	none := report.System{Register: register.NewSystem("NONE")}
	f.Systems = append(f.Systems, only, one, none)
	f.Records = books(f)
	for i, name := range HostileNames {
		f.Records.LeakChecks[i].Why, f.Records.LeakChecks[i].Told, f.Records.LeakChecks[i].Rule, f.Records.LeakChecks[i].Doubt = name, name, name, name
		f.Records.Gaps[i].Problem, f.Records.Gaps[i].Remedy, f.Records.Gaps[i].Place = name, name, name
		f.Records.Book[i].Note, f.Records.Book[i].Person = name, name
	}
	return f
}

func hostile(id, name string) report.System {
	p := plans[0]
	p.id, p.name, p.site = id, name, name
	s := p.system(newRand(7))
	for i := range s.Events {
		s.Events[i].Note = name
	}
	for i := range s.Findings {
		f := &s.Findings[i]
		f.Evidence, f.Alternative, f.NextCheck, f.LimitedBy, f.Kind = name, name, name, name, name
		f.Rank = int64(i + 1)
	}
	for i := range s.Visits {
		s.Visits[i].Reason, s.Visits[i].Instruments = name, name
	}
	for i := range s.Trends {
		s.Trends[i].Note = name
	}
	s.Register.PowerCovers = name
	s.Quality = []table.Problem{{Place: name, System: id, Problem: name, Remedy: name, Rule: name, Visit: s.Visits[len(s.Visits)-1].Start}}
	s.Refusals = []table.Refusal{{Upload: name, FirstLine: 1, LastLine: 2, Channel: name, Reason: name, Text: name}}
	return s
}

// gaps is a visit of which nothing is known but when it was.
func gaps(at time.Time) table.Visit {
	nan := math.NaN()
	return table.Visit{Start: at, End: at.Add(time.Hour), Part: "whole", Use: "none", Reason: "no channel was logged",
		Superheat: nan, SuperheatU: nan, Subcooling: nan, SubcoolingU: nan, EvaporatingTemp: nan, CondensingTemp: nan, DischargeSuperheat: nan, DischargeU: nan,
		EvaporatorTD: nan, EvaporatorTDU: nan, CondenserTD: nan, CondenserTDU: nan, SuctionPressure: nan, DischargePressure: nan, SuctionTemp: nan, DischargeTemp: nan,
		LiquidTemp: nan, LiquidPressure: nan, IsentropicEfficiency: nan, CoolingCOP: nan, HeatingCOP: nan, CarnotFraction: nan, SinkHeat: nan, Power: nan, OutdoorTemp: nan, RoomTemp: nan}
}
