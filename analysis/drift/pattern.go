package drift

import (
	"fmt"
	"math"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A pattern is how a slow fault shows in the trends.
type pattern struct {
	kind    string
	carrier string  // the feature that must move
	verdict string  // which way
	effect  float64 // by how many K at least before it is worth a visit
	against []sign  // what must not be

	alternative string
	nextCheck   string
	closedBy    func(register.EventKind) bool
	needs       []string // features that would say more
}

// A sign is a feature that moves one way, by at least a share of what the carrier
// moves: a certain but small change is no argument against a large one.
type sign struct {
	feature, verdict string
	least            float64
}

// The kinds of finding.
const (
	ChargeLoss        = "charge loss"
	CondenserFouling  = "condenser fouling"
	EvaporatorFouling = "evaporator fouling"
	Restriction       = "liquid line restriction"
)

// Effects that are worth a visit.
//
// Subcooling: a valve-controlled machine without receiver loses about 0.4 K per
// percent of charge (Li & Braun 2009: 1/K_ch), and capacity begins to suffer
// below 90 % (orifice) to 80 % (valve) of charge; 1.5 K is about 4 %. The
// differences of coils: a clean condenser becomes a fouled one between about 1
// and 3 K, and 2 K cost about 5 % of efficiency (common practice, no source).
// Superheat: valves hold it within 1 to 2 K.
const (
	subcoolingEffect = 1.5
	coilEffect       = 2.0
	superheatEffect  = 3.0
)

// Shares of a carrier's change that argue against it. A discharge pressure that
// reads high, and too much charge, raise subcooling by half of the condenser's
// difference or more.
const (
	small = 0.3
	large = 0.5
)

// patterns lists the faults that are looked for. Sources: Rossi & Braun 1997
// (signs for fixed orifices), Kim, Yoon, Payne & Domanski, NIST SP 1087 (2008),
// for valves (from memory); what speaks against a fault is what tells it from its
// neighbours there: subcooling falls with a leak and rises behind a restriction,
// and a leak lowers the condenser's difference where fouling raises it.
func patterns() []pattern {
	return []pattern{
		{
			kind: ChargeLoss, carrier: Subcooling, verdict: Falling, effect: subcoolingEffect,
			against:     []sign{{Superheat, Falling, small}, {CondenserTD, Rising, small}},
			alternative: "another set of probes or another place of the liquid probe; a subcooler or internal heat exchanger that works less; condenser air or head pressure control changed",
			nextCheck:   "direct leak check recommended; before that compare the probes with each other and make sure the liquid probe sits where it sat",
			closedBy:    oneOf(register.Repaired, register.Install, register.Retrofit),
			needs:       []string{Superheat, CondenserTD},
		},
		{
			kind: CondenserFouling, carrier: CondenserTD, verdict: Rising, effect: coilEffect,
			against:     []sign{{Subcooling, Rising, large}},
			alternative: "a fan that fails or turns the wrong way; recirculated air; non-condensable gas; overcharge; an air or water probe moved",
			nextCheck:   "look at the condenser coil and its fans; if clean, compare the standstill pressure with the temperature of the coil",
			closedBy:    oneOf(register.CoilCleaned, register.PartChanged, register.Install, register.Retrofit),
			needs:       []string{Subcooling},
		},
		{
			kind: EvaporatorFouling, carrier: EvaporatorTD, verdict: Rising, effect: coilEffect,
			against:     []sign{{Superheat, Rising, small}},
			alternative: "ice on the coil; a fan, filter or belt; less load; a valve that feeds less; an air probe moved",
			nextCheck:   "look at the evaporator coil, its filter, fans and drain, and at the defrost",
			closedBy:    oneOf(register.CoilCleaned, register.PartChanged, register.Install, register.Retrofit),
			needs:       []string{Superheat},
		},
		{
			kind: Restriction, carrier: Superheat, verdict: Rising, effect: superheatEffect,
			against:     []sign{{Subcooling, Falling, 0}, {Subcooling, Noise, 0}, {Subcooling, NotJudged, 0}},
			alternative: "a valve that closes too far or lost its bulb charge; the superheat setting changed",
			nextCheck:   "feel or measure the temperature drop over filter drier and valves in the liquid line; look at the valve's bulb",
			closedBy:    oneOf(register.PartChanged, register.Repaired, register.Install, register.Retrofit),
			needs:       []string{Subcooling},
		},
	}
}

func oneOf(kinds ...register.EventKind) func(register.EventKind) bool {
	return func(k register.EventKind) bool {
		for _, want := range kinds {
			if k == want {
				return true
			}
		}
		return false
	}
}

// visible times their scatter is how far visits must have moved before a person
// sees it too.
const visible = 2.25

// holds tells whether the trends of a decision show the pattern. A finding that is
// open already stays on the same signs even while its size is small again.
func (p pattern) holds(d decision, open bool) bool {
	t, ok := d.trends[p.carrier]
	if !ok || t.Verdict != p.verdict {
		return false
	}
	if !open && math.Abs(t.Change) < math.Max(p.effect, visible*t.Noise) {
		return false
	}
	for _, a := range p.against {
		if other := d.trends[a.feature]; other.Verdict == a.verdict && !(math.Abs(other.Change) < a.least*math.Abs(t.Change)) {
			return false
		}
	}
	return true
}

// evidence is what moved, by how much, over which visits, at which conditions, and
// what did not.
func (p pattern) evidence(d decision) string {
	t := d.trends[p.carrier]
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s by %.1f K%s over %d visits from %s to %s: %+.1f K a year%s",
		capital(words(p.carrier)), moved(t), math.Abs(t.Change), interval(t.ChangeLo, t.ChangeHi), t.Visits, day(t.Since), day(t.DecidedOn), t.PerYear, interval(t.Lo, t.Hi))
	if !math.IsNaN(t.OutdoorRef) {
		fmt.Fprintf(&b, ", at %.0f °C outdoors", t.OutdoorRef)
	}
	if _, broke := Broke(t); broke {
		b.WriteString(", " + t.Note)
	}
	fmt.Fprintf(&b, "; visits scatter by %.1f K.", t.Noise)
	var others []string
	for _, f := range features() {
		if f.column != p.carrier {
			others = append(others, f.words+" "+said(d.trends[f.column]))
		}
	}
	return b.String() + " " + capital(strings.Join(others, "; ")) + "."
}

func moved(t table.Trend) string {
	if t.Change < 0 {
		return "fell"
	}
	return "rose"
}

func interval(lo, hi float64) string {
	if math.IsNaN(lo) || math.IsNaN(hi) {
		return ""
	}
	return fmt.Sprintf(" (%+.1f to %+.1f)", lo, hi)
}

func said(t table.Trend) string {
	if t.Verdict == NotJudged || t.Verdict == "" {
		return NotJudged
	}
	return fmt.Sprintf("%s (%+.1f K)", t.Verdict, t.Change)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// limits names every empty register field and missing channel that limits a
// finding, and what the trend had to do without.
func limits(s register.System, p pattern, d decision) []string {
	var out []string
	empty := func(is bool, what string) {
		if is {
			out = append(out, what)
		}
	}
	if p.carrier == Subcooling {
		empty(s.Receiver == register.ReceiverUnknown, "receiver is not in the register: with one, subcooling says little about charge")
		empty(s.Subcooler == table.Unknown, "subcooler is not in the register")
		empty(s.InternalHeatExchanger == table.Unknown, "internal heat exchanger is not in the register: behind one, the liquid is colder than the condenser leaves it")
		empty(math.IsNaN(s.Charge.KG), "design charge is not in the register: the loss in kg cannot be estimated")
	}
	if p.carrier == Subcooling || p.carrier == CondenserTD {
		empty(s.HeadPressureControl == table.Unknown, "head pressure control is not in the register: it holds the condensing temperature in cold weather")
	}
	empty(s.Expansion == register.ExpansionUnknown, "expansion device is not in the register")
	for _, need := range p.needs {
		if d.trends[need].Verdict == NotJudged {
			out = append(out, words(need)+" could not be judged: "+d.trends[need].Note)
		}
	}
	t := d.trends[p.carrier]
	if _, broke := Broke(t); t.Note != "" && !broke { // what it broke from is evidence
		out = append(out, t.Note)
	}
	return out
}
