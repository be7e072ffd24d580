package score

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// An alarm says on some day that a system has a fault.
type alarm struct {
	system      string
	fault       truth.Fault   // empty: unclear
	among       []truth.Fault // where it names none: one of them, as its probability says
	raised      time.Time
	cleared     time.Time     // zero: not yet
	changed     time.Time     // the visit its estimates are of
	probability float64       // that the fault is there, as it stood when raised; NaN where none is given
	causes      []truth.Fault // named with a probability as it stood when raised, the likeliest first; "" is unclear
	lost, rate  estimate      // of charge, percent and percent a year
	calibrated  bool          // by a weighed addition or recovery
}

// An estimate is an interval; its ends are NaN where there is none.
type estimate struct{ lo, hi float64 }

// none is the estimate that is not given.
var none = estimate{math.NaN(), math.NaN()}

func (e estimate) given() bool { return e.lo <= e.hi }

// named are the faults by the kind of a finding. Kinds that are not listed name no
// single fault: unclear.
var named = map[string]truth.Fault{
	"charge loss":               truth.Leak,
	"low since the first visit": truth.Leak, // a leak that nobody saw begin
	"overcharge":                truth.Overcharge,
	"condenser fouling":         truth.CondenserFouling,
	"evaporator fouling":        truth.EvaporatorFouling,
	"liquid line restriction":   truth.Restriction,
	"compressor wear":           truth.Wear,
	"non-condensable gas":       truth.ForeignGas,
	"valve fault":               truth.ValveStuck,
}

// amongst are the faults of which a kind of finding says that one is there.
var amongst = map[string][]truth.Fault{"starved evaporator": {truth.Leak, truth.Restriction, truth.ValveStuck}}

// alarmsOf takes findings for alarms, in the order they were raised. What a visit showed
// of how a machine stands, and what is withdrawn, says nothing of a slow fault.
func alarmsOf(findings []table.Finding) []alarm {
	var list []alarm
	for _, f := range findings {
		if f.Observed != "" || f.State == "withdrawn" {
			continue
		}
		list = append(list, alarm{
			system: f.System, fault: named[f.Kind], among: amongst[f.Kind], raised: f.RaisedOn, changed: f.ChangedOn, cleared: f.ClearedOn,
			probability: f.Probability, causes: causesOf(f.RaisedCauses),
			lost: estimate{f.LostLo, f.LostHi}, rate: estimate{f.LossPctLo, f.LossPctHi}, calibrated: f.CalibratedBy > 0,
		})
	}
	inOrder(list)
	return list
}

// causesOf reads the causes of a finding, "charge loss 0.81; unclear 0.09", in their
// order.
func causesOf(text string) (list []truth.Fault) {
	for part := range strings.SplitSeq(text, ";") {
		words := strings.Fields(part)
		if len(words) > 1 {
			list = append(list, named[strings.Join(words[:len(words)-1], " ")])
		}
	}
	return list
}

func inOrder(list []alarm) {
	slices.SortStableFunc(list, func(a, b alarm) int {
		return cmp.Or(a.raised.Compare(b.raised), cmp.Compare(a.system, b.system), cmp.Compare(a.fault, b.fault))
	})
}

// of picks the alarms of a system about a fault.
func of(list []alarm, system string, fault truth.Fault) []alarm {
	var out []alarm
	for _, a := range list {
		if a.system == system && a.fault == fault {
			out = append(out, a)
		}
	}
	return out
}

// means tells whether an alarm says of a fault that it is there.
func (a alarm) means(fault truth.Fault) bool {
	return fault == a.fault || slices.Contains(a.among, fault)
}

// on tells whether an alarm stood at some time between two.
func (a alarm) on(from, to time.Time) bool {
	return !a.raised.After(to) && (a.cleared.IsZero() || !a.cleared.Before(from))
}
