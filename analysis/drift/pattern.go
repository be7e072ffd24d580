package drift

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A pattern is a kind of finding: when it is raised, and what to do about it.
type pattern struct {
	kind   string
	effect float64 // by how many K its feature must have moved before it is worth a visit
	limits limits
	both   both
	visits int64   // that it takes at least
	plain  float64 // K that a person sees however visits scatter; 0: none
	young  float64 // odds of all visits and those without one of the last that it takes together in a young record
	warm   float64 // by how much odds without one of the last may be poorer where the latest visit was a warm one

	alternative string
	nextCheck   string
	closedBy    func(register.EventKind) bool
	needs       []string // features that would say more
}

// Both is what odds must come to together: those of all visits, and those without one of the
// last. Odds go with the square of what stands out of the scatter, and are trusted less where that
// is larger than usual, or comes from few visits: it is then least well known. The zero value
// asks for nothing.
type both struct {
	usual    float64 // in a record of usual scatter
	few      float64 // in one of few visits
	restless float64 // more for each time that the variance is larger
	from     float64 // than that of such a share of the usual scatter
	alone    float64 // odds of all visits that are enough by themselves; 0: none are
	steady   float64 // odds that are enough whichever visit is left out, where visits scatter no more than usual; 0: none are
	one      float64 // what any one visit may add to the odds without it; 0: whatever it says
}

// fewVisits is how many do not tell scatter well.
const fewVisits = 12

// slowFrom is how many visits tell what grows from what came at once: of simulated condensers that
// seemed to foul in fewer, four of five had gas in them or were clean.
const slowFrom = 7

// A record is young as long as it has fewer visits than these: of the findings of dirt on
// condensers that simulated machines had after seven or eight visits, 15 of 33 were false; of those
// after more, 29 of 543.
const oldFrom = 9

// mostlyWarm is the share of visits that were colder from which on a visit is a warm one. Fans or a
// flooded condenser hide dirt in cold weather, and what is reckoned of it then is least sure: of
// the findings of dirt on condensers of simulated machines 24 of 152 were false that were raised in
// the colder two fifths of all weather seen, and 9 of 284 in the warmer two.
const mostlyWarm = 0.6

// asks is what is asked in a record with a scatter.
func (b both) asks(c table.Cause) float64 {
	times := math.Max(1, c.Noise/(b.from*usualScatter(c.Feature)))
	usual := b.usual
	if c.Visits < fewVisits {
		usual = math.Max(usual, b.few)
	}
	return usual + b.restless*(times*times-1)
}

// mostByOne is what one visit may add to the odds of dirt on an evaporator, which no weather hides
// from the next: one visit in ten is wild (wildShare), and what makes the odds, which grow with
// the square of it, says little beyond that. A loss of charge may show in one visit of a year:
// of 94 simulated ones of 15 % at fair instruments a bound of 4 lost two, and four of 16 false ones.
const mostByOne = 10.0

// counted is the odds of a cause as far as no one visit makes them.
func (b both) counted(c table.Cause) float64 {
	if b.one == 0 {
		return c.Odds
	}
	return math.Min(c.Odds, c.Sure+b.one)
}

// grants tells whether the odds of a cause come to what is asked.
func (b both) grants(c table.Cause) bool {
	return b == both{} || b.alone > 0 && c.Odds >= b.alone || c.Odds+c.Sure >= b.asks(c)
}

// steadily tells whether the odds of a cause are enough since they rest on no single visit.
func (b both) steadily(c table.Cause) bool {
	return b.steady > 0 && math.Min(c.Odds, c.Sure) >= b.steady && c.Noise <= usualScatter(c.Feature)
}

// Limits are how sure a cause must be to be raised: the odds against nothing being
// wrong (natural logarithm), the same with any one of the last visits left out, and its
// probability against all other causes. What is not so sure as atOnce must hold at two
// decisions in a row. Whatever the odds, the feature must have moved by visible times what
// visits scatter, so that a person sees it too: farther where it is raised on less of a move,
// since scatter is least well known where it is large. A coil's own difference tells it,
// whatever else may be wrong with the machine, so that little of the probability will do for its
// dirt: what else moves that of an evaporator must still be ruled out (distinct). A condenser whose head
// pressure is held shows most of its dirt at the first visit in warm weather, so that odds without
// that one may be poorer, where visits scatter little. Dirt on an evaporator may have poorer odds too
// where it stands far out of the scatter, up to what is plain however visits scatter, and where
// the scatter is well known: more is asked where it is larger than usual or few visits tell it.
// They were set on simulated fleets and
// on drawn records of many kinds of noise, each kind by itself, to less than one false finding
// in 100 system-years.
type limits struct{ odds, sure, probability, atOnce, visible float64 }

// The kinds of finding.
const (
	ChargeLoss        = "charge loss"
	CondenserFouling  = "condenser fouling"
	EvaporatorFouling = "evaporator fouling"
	Restriction       = "liquid line restriction"
	Wear              = "compressor wear"
	Gas               = "non-condensable gas"
	Overcharge        = "overcharge"
	Valve             = "valve fault"
)

// Effects that are worth a visit.
//
// Subcooling: a valve-controlled machine without receiver loses about 0.4 K per
// percent of charge (Li & Braun 2009: 1/K_ch), and capacity begins to suffer
// below 90 % (orifice) to 80 % (valve) of charge; 1.5 K is about 4 %. A loss that is sure
// is worth a visit from 3 % on (lossWorth), some 1 K: it is gas in the air, and goes on. The
// differences of coils: a clean condenser becomes a fouled one between about 1
// and 3 K, and 2 K cost about 5 % of efficiency; an evaporator
// costs more for each (common practice, no source). Dirt on a condenser is raised a little
// earlier (fouledEffect): it goes on, and most of it shows in weather that is still to come.
// Superheat: valves hold it within 1 to 2 K. Discharge: 3 K are some 5 % of the
// isentropic efficiency.
const (
	lossEffect       = 1.0
	subcoolingEffect = 1.5
	condenserEffect  = 1.5
	fouledEffect     = 1.3
	evaporatorEffect = 1.2
	superheatEffect  = 3.0
	wearEffect       = 3.0
	gasEffect        = 1.5
	starvedEffect    = 2.0
)

// patterns lists the kinds of finding; faults has what tells them.
func patterns() []pattern {
	return []pattern{
		{
			kind: ChargeLoss, effect: subcoolingEffect, limits: limits{2, -4, 0.5, -4, 3}, both: both{3.5, 3.5, 3, 1, 8, 1, 0},
			alternative: "another set of probes or another place of the liquid probe; a subcooler or internal heat exchanger that works less; condenser air or head pressure control changed",
			nextCheck:   "direct leak check recommended; before that compare the probes with each other and make sure the liquid probe sits where it sat",
			closedBy:    oneOf(register.Repaired, register.Install, register.Retrofit),
			needs:       []string{Superheat, CondenserTD},
		},
		{
			kind: CondenserFouling, effect: condenserEffect, limits: limits{0, -3, 0.35, -3, 4}, both: both{-1, -1, 4, 0.7, 0, 0, 0},
			visits: slowFrom, young: 7.5, warm: 1.5,
			alternative: "a fan that fails or turns the wrong way; recirculated air; non-condensable gas; overcharge; an air or water probe moved",
			nextCheck:   "look at the condenser coil and its fans; if clean, compare the standstill pressure with the temperature of the coil",
			closedBy:    cleans,
			needs:       []string{Subcooling},
		},
		{
			kind: EvaporatorFouling, effect: evaporatorEffect, limits: limits{0, -6, 0.35, -6, 4.5}, plain: 2.5, both: both{-3, 1, 3.5, 0.9, 0, 0, mostByOne},
			alternative: "ice on the coil; a fan, filter or belt; less load; a valve that feeds less; an air probe moved",
			nextCheck:   "look at the evaporator coil, its filter, fans and drain, and at the defrost",
			closedBy:    cleans,
			needs:       []string{Superheat},
		},
		{
			kind: Restriction, effect: superheatEffect, limits: limits{3.5, 0, 0.55, 2, 2.5},
			alternative: "a valve that closes too far or lost its bulb charge; the superheat setting changed",
			nextCheck:   "feel or measure the temperature drop over filter drier and valves in the liquid line; look at the valve's bulb",
			closedBy:    mends,
			needs:       []string{Subcooling},
		},
		{
			kind: Wear, effect: wearEffect, limits: limits{0, -4, 0.5, -4, 2.5},
			alternative: "a discharge probe moved or badly clamped; a reversing or bypass valve that leaks; an unloader that sticks",
			nextCheck:   "compare the compressor's current and capacity with its data sheet; pump down and watch how the pressures equalise",
			closedBy:    oneOf(register.PartChanged, register.Install, register.Retrofit),
			needs:       []string{EvaporatorTD},
		},
		{
			kind: Gas, effect: gasEffect, limits: limits{2, -12, 0.5, -12, 2.5},
			alternative: "a discharge pressure that reads high; overcharge; a fouled condenser or a failed fan",
			nextCheck:   "let the machine stand until it has the temperature around it, then compare the pressure with the saturation pressure at that temperature",
			closedBy:    letsOut,
			needs:       []string{Subcooling},
		},
		{
			kind: Overcharge, effect: subcoolingEffect, limits: limits{4, 3, 0.55, 3, 2.5},
			alternative: "refrigerant added that nobody wrote down; non-condensable gas; a liquid probe that reads low",
			nextCheck:   "weigh the charge at the next recovery; before that compare the standstill pressure with the saturation pressure, which tells gas from too much charge",
			closedBy:    oneOf(register.Recovered, register.Repaired, register.Install, register.Retrofit),
			needs:       []string{CondenserTD},
		},
		{
			kind: Valve, effect: superheatEffect, limits: limits{4, 2.5, 0.55, 2.5, 2.5},
			alternative: "the superheat setting changed; the suction probe or the valve's bulb moved; a restriction before the valve",
			nextCheck:   "look at the valve's bulb and its clamp, its strainer and, of an electronic one, its drive; compare superheat with the setting",
			closedBy:    oneOf(register.PartChanged, register.Repaired, register.SetpointChanged, register.Install, register.Retrofit),
			needs:       []string{Subcooling},
		},
		{
			kind: Starved, effect: starvedEffect, limits: limits{2.5, 1, 0.6, 2.5, 2.5},
			alternative: "charge loss, a liquid line restriction or a valve that closes too far: what was logged does not tell them apart",
			nextCheck:   "log the liquid's temperature before the valve and behind the condenser, and the receiver's level where there is one: subcooling falls with lost charge and rises with a restriction or a closed valve; direct leak check recommended as long as that is open",
			closedBy:    oneOf(register.Repaired, register.PartChanged, register.SetpointChanged, register.Install, register.Retrofit),
			needs:       []string{Subcooling},
		},
	}
}

// find returns the pattern of a kind.
func find(kind string) (pattern, bool) {
	for _, p := range patterns() {
		if p.kind == kind {
			return p, true
		}
	}
	return pattern{}, false
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

// lostEffect is the loss that is worth a visit however little subcooling it takes, % of
// the charge: a machine that has little of it has little to show. A kelvin of it is worth one
// from lossWorth on, where that is known.
const (
	lostEffect = 5.0
	lossWorth  = 3.0
)

// least is how far a feature must have moved under the pattern before it is worth a visit.
func (p pattern) least(feature string) float64 {
	if feature == Level {
		return levelEffect
	}
	return p.effect
}

// holds tells whether a cause is sure and large enough to be raised.
func (p pattern) holds(c table.Cause) bool {
	return p.sure(c) && p.large(c) && math.Abs(c.Size) >= p.seen(c.Noise)
}

// seen is how far its feature must have moved out of a scatter for a person to see it.
func (p pattern) seen(scatter float64) float64 {
	if p.plain > 0 {
		return math.Min(p.limits.visible*scatter, p.plain)
	}
	return p.limits.visible * scatter
}

// large tells whether a cause is worth a visit by its size.
func (p pattern) large(c table.Cause) bool {
	lost := p.kind == ChargeLoss && c.Feature == Subcooling && c.Size <= -lossEffect && !(c.Lost < lossWorth)
	fouled := p.kind == CondenserFouling && math.Abs(c.Size) >= fouledEffect
	return math.Abs(c.Size) >= p.least(c.Feature) || c.Lost >= lostEffect || lost || fouled
}

// sure tells whether a cause is sure enough. A loss or dirt that goes on shows more at each
// visit, so that the latest tells most of it: what all visits say may make up for what they
// say without it. Where no visit matters more than the others, poorer odds will do.
func (p pattern) sure(c table.Cause) bool {
	c.Odds = p.both.counted(c)
	enough := p.both.grants(c) && c.Odds >= p.limits.odds || p.both.steadily(c)
	return enough && p.grown(c) && c.Sure >= p.limits.sure-p.warms(c) && c.Probability >= p.limits.probability
}

// grown tells whether there are visits enough, and whether odds are good enough for few.
func (p pattern) grown(c table.Cause) bool {
	return c.Visits >= p.visits && (c.Visits >= oldFrom || p.young == 0 || c.Odds+c.Sure >= p.young)
}

// warms is by how much odds of a cause without one of the last visits may be poorer: warm weather
// shows dirt on a condenser that cold weather hid, and it shows at one visit first.
func (p pattern) warms(c table.Cause) float64 {
	if c.Warmer >= mostlyWarm && c.Visits >= oldFrom {
		return p.warm
	}
	return 0
}

// stands tells whether a cause that was raised is still likelier than not.
func (p pattern) stands(c table.Cause) bool { return c.Odds >= 0 }

// leftOver is the share of what is worth a visit below which nothing is left to see.
const leftOver = 0.5

// gone tells whether what a finding is about moved back, by the whole of its interval, however
// likely it is that something is left of it. A charge that was filled up goes on leaking.
func (p pattern) gone(c table.Cause) bool {
	if p.kind == ChargeLoss {
		return false
	}
	most := math.Max(math.Abs(c.SizeLo), math.Abs(c.SizeHi))
	return most < leftOver*p.least(c.Feature)
}

// evidence is what moved, by how much, over which visits, and what did not.
func (p pattern) evidence(c table.Cause) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s by %.1f %s%s since %s, over %d visits from %s to %s", capital(Words(c.Feature)), moved(c.Size), math.Abs(c.Size), MeasuredIn(c.Feature), interval(c.SizeLo, c.SizeHi), day(c.Suspected), c.Visits, day(c.Since), day(c.DecidedOn))
	if c.Sudden {
		b.WriteString(", " + suddenly)
	} else {
		fmt.Fprintf(&b, ": %+.1f %s a year%s", c.PerYear, MeasuredIn(c.Feature), interval(c.PerYearLo, c.PerYearHi))
	}
	fmt.Fprintf(&b, "; outdoor temperature, load and instruments are taken out, visits scatter by %.1f %s. %s.", c.Noise, MeasuredIn(c.Feature), capital(c.Others))
	if !math.IsNaN(c.Lost) {
		by := "generic estimate: no weighed addition calibrates it"
		if c.CalibratedBy > 0 {
			by = fmt.Sprintf("calibrated by %d weighed addition(s)", c.CalibratedBy)
		}
		fmt.Fprintf(&b, " About %.0f %% of the charge (%.0f to %.0f %%; %s).", c.Lost, c.LostLo, c.LostHi, by)
	}
	return b.String()
}

func moved(by float64) string {
	if by < 0 {
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

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// limitsOf names every empty register field and missing channel that limits a finding,
// and what the estimate had to do without.
func limitsOf(s register.System, p pattern, c table.Cause, d decision) []string {
	var out []string
	empty := func(is bool, what string) {
		if is {
			out = append(out, what)
		}
	}
	if p.kind == ChargeLoss {
		empty(s.Receiver == register.ReceiverUnknown && c.Feature != Level, "receiver is not in the register: with one, subcooling says little about charge")
		empty(s.Subcooler == table.Unknown, "subcooler is not in the register")
		empty(s.InternalHeatExchanger == table.Unknown, "internal heat exchanger is not in the register: behind one, the liquid is colder than the condenser leaves it")
		empty(math.IsNaN(s.Charge.KG), "design charge is not in the register: the loss in kg cannot be estimated")
	}
	if p.kind == ChargeLoss || p.kind == CondenserFouling {
		empty(s.HeadPressureControl == table.Unknown, "head pressure control is not in the register: it holds the condensing temperature in cold weather")
	}
	empty(s.Expansion == register.ExpansionUnknown, "expansion device is not in the register")
	for _, need := range p.needs {
		if c.Feature == Level {
			break // it stands for itself
		}
		if t := d.trends[need]; t.Verdict == NotJudged {
			out = append(out, Words(need)+" could not be judged: "+t.Note)
		}
	}
	if t := d.trends[c.Feature]; t.Note != "" && t.Verdict != NotJudged {
		if _, broke := Broke(t); !broke { // what it broke from is evidence
			out = append(out, t.Note)
		}
	}
	for i := range out {
		out[i] = unsaid(out[i], c.Note)
	}
	empty(c.Note != "", c.Note)
	return slices.DeleteFunc(out, func(s string) bool { return s == "" })
}

// unsaid is what of a note another does not say as well: what is presumed stands in both.
func unsaid(note, other string) string {
	said := strings.Split(other, "; ")
	return strings.Join(slices.DeleteFunc(strings.Split(note, "; "), func(s string) bool { return slices.Contains(said, s) }), "; ")
}
