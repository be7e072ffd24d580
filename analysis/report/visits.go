package report

import (
	"cmp"
	"slices"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
	"rimelog/analysis/report/say"
	"rimelog/pipeline/register"
	"rimelog/thermo"
)

// visitsView is what the visit list says: where to go, site by site, the most
// urgent first, and what else to log on the way.
type visitsView struct {
	AsOf, Lede string
	Sites      []siteView
	Elsewhere  []logRow // of sites nobody has to go to
	Checks     string   // how many checks are due at those sites; empty for none
	Made       madeView
}

// A siteView is one trip: the calls at a site, and what can be logged while there.
type siteView struct {
	Name   string
	Calls  []call
	Logs   []logRow
	Checks []checkRow
}

// A call is one system that needs somebody.
type call struct {
	Rank, ID, Title, Href, Refrigerant string
	Why                                []reason
	Take                               []string
	Caution                            string // by safety class; empty where there is none
	system                             System
}

// A reason is one open finding in short.
type reason struct{ Head, Moved, Since, Next string }

// A checkRow is a check that the rules ask for by now, at a site somebody goes to.
type checkRow struct{ ID, Title, Href, What, When string }

// A logRow is a system that could be judged after more visits.
type logRow struct{ ID, Title, Site, Href, Why, How string }

func (f Fleet) visits() visitsView {
	systems := f.systems()
	v := visitsView{AsOf: f.say.Day(f.AsOf, f.AsOf.Location()), Made: f.Made.view(f.say)}
	at := map[string]int{} // index of a site with calls
	for _, s := range systems {
		if s.standing() != needsVisit {
			continue
		}
		site := cmp.Or(s.Register.Site, s.Title())
		i, known := at[site]
		if !known {
			i = len(v.Sites)
			at[site] = i
			v.Sites = append(v.Sites, siteView{Name: site})
		}
		v.Sites[i].Calls = append(v.Sites[i].Calls, s.call())
	}
	for _, s := range systems {
		if s.standing() != notJudged {
			continue
		}
		if i, ok := at[s.Register.Site]; ok {
			v.Sites[i].Logs = append(v.Sites[i].Logs, s.logRow())
		} else {
			v.Elsewhere = append(v.Elsewhere, s.logRow())
		}
	}
	v.Checks = f.checksOnTheWay(v.Sites, at)
	v.Lede = v.lede(f.say)
	return v
}

// checksOnTheWay adds to the sites the checks that are due there, and says how many are
// due elsewhere.
func (f Fleet) checksOnTheWay(sites []siteView, at map[string]int) string {
	elsewhere, names := 0, f.names()
	for _, l := range f.Records.LeakChecks {
		if l.State != records.Overdue && l.State != records.NeverDone && l.State != records.DueSoon {
			continue
		}
		w := nameOf(names, l.System)
		if i, ok := at[cmp.Or(w.Site, w.Title)]; ok {
			r := f.dueRow(l, names)
			sites[i].Checks = append(sites[i].Checks, checkRow{w.ID, w.Title, w.Href, r.What, cmp.Or(r.When, f.say.Text("no day"))})
			continue
		}
		elsewhere++
	}
	if elsewhere == 0 {
		return ""
	}
	return f.say.Text("%s due at other sites", f.say.Count(elsewhere, "check"))
}

func (v visitsView) lede(l say.Locale) string {
	calls := 0
	for _, s := range v.Sites {
		calls += len(s.Calls)
	}
	switch {
	case calls == 0:
		return l.Text("Nothing found calls for a visit.")
	case calls == 1:
		return l.Text("One system to see.")
	case len(v.Sites) == 1:
		return l.Text("%s systems to see, at one site.", l.Word(calls))
	}
	return l.Text("%s systems to see, at %s sites.", l.Word(calls), l.Small(len(v.Sites)))
}

func (s System) call() call {
	open := s.open()
	c := call{Rank: s.say.Number(float64(open[0].Rank), 0), ID: s.Register.ID, Title: s.Title(), Href: SystemPath(s.Register.ID),
		Refrigerant: s.Register.RefrigerantName, Take: s.take(), Caution: s.mind(), system: s}
	for _, f := range open {
		c.Why = append(c.Why, reason{suspicion(s.say, f), moved(s.say, f), since(s.say, f, s.Zone()), nextCheck(s.say, f)})
	}
	return c
}

func (s System) logRow() logRow {
	o := s.obstacle()
	return logRow{s.Register.ID, s.Title(), s.Register.Site, SystemPath(s.Register.ID), o.why, o.how}
}

// take is what to take along for the open findings of a system; common practice,
// no source.
func (s System) take() (out []string) {
	name := cmp.Or(s.Register.RefrigerantName, s.say.Text("its refrigerant"))
	add := func(items ...string) {
		for _, item := range items {
			if !slices.Contains(out, item) {
				out = append(out, item)
			}
		}
	}
	for _, f := range s.open() {
		switch f.Kind {
		case drift.ChargeLoss:
			add(s.say.Text("leak detector for %s", name), s.say.Text("%s%s, scales, a recovery cylinder", name, s.designCharge()))
		case drift.CondenserFouling:
			add(s.say.Text("what cleans its condenser"))
		case drift.EvaporatorFouling:
			add(s.say.Text("what cleans its evaporator, a filter, fan spares"))
		case drift.Restriction:
			add(s.say.Text("filter drier, thermometer for both its ends"))
		}
	}
	add(s.say.Text("logger and the same probes%s", cmp.Or(s.serials(), s.say.Text(" as before"))))
	return out
}

// designCharge is how much refrigerant the system was designed for, where known.
func (s System) designCharge() string {
	if charge(s.say, s.Register.Charge) != "" && s.Register.Charge.Source != register.ChargeUnknown {
		return s.say.Text(" (design charge %s, %s)", figure(s.say, say.Mass, s.Register.Charge.KG, 2), s.say.Prose(s.Register.Charge.Source.String()))
	}
	return ""
}

// mind is the caution of the refrigerant's safety class that changes what to take.
func (s System) mind() string {
	var parts []string
	for _, c := range s.hazards() {
		parts = append(parts, c.Head+". "+c.Text)
	}
	return strings.Join(parts, " ")
}

// hazards are what the refrigerant asks for beyond the usual.
func (s System) hazards() (list []caution) {
	name := s.Register.RefrigerantName
	r, err := thermo.Lookup(name)
	switch {
	case name == "":
		return []caution{{s.say.Text("Refrigerant unknown"), s.say.Text("Treat it as flammable and toxic until the nameplate says otherwise.")}}
	case err != nil:
		return []caution{{s.say.Text("Safety class unknown"), s.say.Text("Look it up in the safety data sheet.")}}
	}
	for _, c := range classCautions(s.say, r.Name(), r.SafetyClass()) {
		if !strings.HasPrefix(c.Head, r.Name()) {
			list = append(list, c)
		}
	}
	return append(list, highPressure(s.say, r)...)
}
