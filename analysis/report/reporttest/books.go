package reporttest

import (
	"fmt"
	"math"
	"time"

	"rimelog/analysis/records"
	"rimelog/analysis/report"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// books keeps the books of the invented fleet: systems of several jurisdictions, with
// installations, checks, additions, and findings of lost charge that nobody answered.
func books(f report.Fleet) records.Books {
	rules, err := records.Embedded()
	if err != nil {
		panic(fmt.Sprint("reporttest: ", err)) // the rules come with the program and are tested there
	}
	var systems []records.System
	for i, s := range f.Systems {
		x := records.System{Register: s.Register, Findings: losses(f.Findings, s.Register.ID)}
		x.Register.Jurisdiction = []string{"DE", "US", "GB", "EU", ""}[i%5]
		x.Register.Charge.KG = []float64{60, 400, 3, 22}[i%4]
		x.Register.Line = i + 2
		x.Book = append(history(s.Register.ID, i, x.Register.Charge.KG), s.Events...)
		for j := range x.Book {
			x.Book[j].Line = 20*i + j + 2
		}
		for _, v := range s.Visits {
			x.Judged = append(x.Judged, v.Start)
		}
		systems = append(systems, x)
	}
	return records.Keep(systems, rules, records.Options{}, records.Date{On: f.AsOf})
}

// ruleSets are those that come with the program.
func ruleSets() (out []report.Input) {
	rules, err := records.Embedded()
	if err != nil {
		panic(fmt.Sprint("reporttest: ", err)) // as in books
	}
	for _, s := range rules.Sets() {
		out = append(out, report.Input{Name: s.ID, SHA256: s.SHA256})
	}
	return out
}

// losses are a system's findings of lost charge, with what they come to a year.
func losses(all []table.Finding, id string) (out []table.Finding) {
	for _, f := range all {
		if f.System == id && f.Kind == "charge loss" {
			f.LossKG, f.LossKGLo, f.LossKGHi = 0.4, 0.2, 0.7
			out = append(out, f)
		}
	}
	return out
}

// history is what was done to the i-th system before anybody looked.
func history(id string, i int, charge float64) []register.Event {
	at := func(days int) time.Time { return AsOf.AddDate(0, 0, -days).In(Zone) }
	event := func(days int, k register.EventKind, kg float64) register.Event {
		return register.Event{System: id, Time: at(days), Kind: k, KG: kg, Company: "Rimefirm", Certificate: "RF-1", Person: "P. Engineer"}
	}
	nan := math.NaN()
	rows := []register.Event{event(1500+40*i, register.Install, charge), event(330+25*i, register.DirectLeakCheck, nan)}
	if i%3 == 0 {
		rows = append(rows, event(200+i, register.ChargeAdded, charge/4), event(200+i, register.Repaired, nan))
	}
	if i%4 == 1 {
		rows = append(rows, event(20+i, register.ChargeAdded, charge*0.7), event(300+i, register.ChargeAdded, charge*0.7), event(100, register.Recovered, charge*3))
	}
	return rows
}
