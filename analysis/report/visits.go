package report

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
	"rimelog/analysis/say"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// visitsView is what the visit list says: where to go, site by site, the most
// urgent first, and what else to log on the way.
type visitsView struct {
	AsOf, Lede string
	Sites      []siteView
	Elsewhere  []logRow  // of sites nobody has to go to
	Due        []dueSite // checks due by the end of the month at other sites
	Made       madeView
}

// A siteView is one trip: the calls at a site, and what can be logged while there.
type siteView struct {
	Name, Area string
	Calls      []call
	Logs       []logRow
	Checks     []checkRow
	Nearby     []dueSite // checks due this month at other sites of the same area
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
type reason struct{ Head, Gone, Moved, Since, Next string }

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
			v.Sites = append(v.Sites, siteView{Name: site, Area: s.Register.Area})
		}
		v.Sites[i].Calls = append(v.Sites[i].Calls, s.call(f.bansOf(s.Register.ID)))
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
	v.Due = f.checksOnTheWay(v.Sites, at)
	v.Lede = v.lede(f.say)
	return v
}

// A dueSite is a site nobody has to go to for a finding, with the checks due there.
type dueSite struct {
	Name, Area string
	Checks     []checkRow
}

// with adds a check to those of its site.
func with(sites []dueSite, w who, c checkRow) []dueSite {
	name := cmp.Or(w.Site, w.Title)
	i := slices.IndexFunc(sites, func(s dueSite) bool { return s.Name == name })
	if i < 0 {
		i = len(sites)
		sites = append(sites, dueSite{Name: name, Area: w.Area})
	}
	sites[i].Checks = append(sites[i].Checks, c)
	return sites
}

// checksOnTheWay adds to the sites the checks that are due there, and those due by the
// end of the month in the same area; it returns those of the month at all other sites.
func (f Fleet) checksOnTheWay(sites []siteView, at map[string]int) (elsewhere []dueSite) {
	names := f.names()
	for _, l := range f.Records.LeakChecks {
		if l.State != records.Overdue && l.State != records.NeverDone && l.State != records.DueSoon {
			continue
		}
		w := nameOf(names, l.System)
		r := f.dueRow(l, names)
		row := checkRow{w.ID, w.Title, w.Href, r.What, cmp.Or(r.When, f.say.Text("no day"))}
		if i, ok := at[cmp.Or(w.Site, w.Title)]; ok {
			sites[i].Checks = append(sites[i].Checks, row)
		} else if i := nearest(sites, w.Area); i >= 0 && f.thisMonth(l) {
			sites[i].Nearby = with(sites[i].Nearby, w, row)
		} else if f.thisMonth(l) {
			elsewhere = with(elsewhere, w, row)
		}
	}
	return elsewhere
}

// nearest is the first of the sites in an area; -1 where there is none, or where the
// register does not say the area.
func nearest(sites []siteView, area string) int {
	return slices.IndexFunc(sites, func(s siteView) bool { return area != "" && strings.EqualFold(s.Area, area) })
}

// thisMonth tells whether something is to be done before the month is over.
func (f Fleet) thisMonth(l table.LeakCheck) bool {
	y, m, _ := f.AsOf.Date()
	return l.DueOn.IsZero() || l.DueOn.Before(time.Date(y, m+1, 1, 0, 0, 0, 0, time.UTC))
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

func (s System) call(bans []table.ServiceBan) call {
	open := s.open()
	c := call{Rank: s.say.Number(float64(open[0].Rank), 0), ID: s.Register.ID, Title: s.Title(), Href: SystemPath(s.Register.ID),
		Refrigerant: s.Register.RefrigerantName, Take: s.take(bans), Caution: s.mind(), system: s}
	for _, f := range open {
		c.Why = append(c.Why, reason{suspicion(s.say, f), capital(gone(s.say, f)), moved(s.say, f), since(s.say, f, s.Zone()), nextCheck(s.say, f)})
	}
	return c
}

func (s System) logRow() logRow {
	o := s.obstacle()
	return logRow{s.Register.ID, s.Title(), s.Register.Site, SystemPath(s.Register.ID), o.why, o.how}
}

// take is what to take along for the open findings of a system; common practice,
// no source.
func (s System) take(bans []table.ServiceBan) (out []string) {
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
			add(s.say.Text("leak detector for %s", name), s.say.Text("%s%s, scales, a recovery cylinder", name, s.kilograms(f)+s.designCharge()))
			for _, b := range bans {
				add(s.banned(b))
			}
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

// bansOf are the service bans on a system's refrigerant.
func (f Fleet) bansOf(id string) (out []table.ServiceBan) {
	for _, b := range f.Records.Bans {
		if b.System == id {
			out = append(out, b)
		}
	}
	return out
}

// banned says what service may not, or soon may not, do with a refrigerant.
func (s System) banned(b table.ServiceBan) string {
	day := s.say.Day(b.From, time.UTC)
	text := s.say.Text("mind for %s: %s is banned from %s", b.Refrigerant, s.say.Prose(b.Banned), day)
	if b.InForce {
		text = s.say.Text("mind for %s: %s is banned since %s", b.Refrigerant, s.say.Prose(b.Banned), day)
	}
	if b.Allowed != "" {
		text += "; " + s.say.Text("allowed remains %s", s.say.Prose(b.Allowed))
	}
	if b.Doubt != "" {
		text += "; " + s.say.Prose(b.Doubt)
	}
	return text + " (" + b.Jurisdiction + ", " + s.say.Prose(b.Rule) + "; " + s.say.Prose(b.Standing) + ")"
}

// kilograms is how much a finding says has gone, with its interval; empty where the charge
// or the share is not known.
func (s System) kilograms(f table.Finding) string {
	kg := s.Register.Charge.KG / 100
	if math.IsNaN(kg) || !drift.TellsLost(f) {
		return ""
	}
	lo, hi := s.say.In(say.Mass, f.LostLo*kg), s.say.In(say.Mass, f.LostHi*kg)
	return s.say.Text(", %s gone by the logs", s.say.Range(lo, hi, 2, s.say.Unit(say.Mass)))
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
