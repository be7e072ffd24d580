package report

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/say"
	"rimelog/pipeline/table"
)

// An obstacle is the main reason why nothing of a system can be judged, and what
// would let it be judged: one sentence each. The details are beside each feature.
type obstacle struct{ why, how string }

// obstacle names the first thing in the way, in the order of the flow.
func (s System) obstacle() obstacle {
	switch {
	case len(s.Visits) == 0:
		return obstacle{"No log has been read.", "Put its logs below uploads/" + s.Register.ID + "/, or name its files in register/channels.csv."}
	case s.Register.RefrigerantName == "":
		return obstacle{"Its refrigerant is not known: nothing can be worked out from the pressures.",
			"Read it from the nameplate and write it into register/systems.csv, in the line of " + s.Register.ID + "."}
	case s.used(table.UseTrend) == 0:
		return s.neverJudged()
	}
	return s.lacking(s.nearest())
}

// used counts the visits of one use.
func (s System) used(use string) (n int) {
	for _, v := range s.Visits {
		if v.Use == use {
			n++
		}
	}
	return n
}

const longer = "Log longer: let it settle, then record at least 15 minutes of steady running, or three hunting periods."

// neverJudged is the obstacle of a system without a single judged visit.
func (s System) neverJudged() obstacle {
	spots, last := s.used(table.UseSpot), s.Visits[len(s.Visits)-1]
	var longest time.Duration
	for _, v := range s.Visits {
		longest = max(longest, v.End.Sub(v.Start))
	}
	switch {
	case spots == 0:
		return obstacle{strings.TrimSpace("No reading can be used, from " + say.Count(len(s.Visits), "visit") + ". " + s.prose(last.Reason)), longer}
	case longest < shortLog:
		return obstacle{"Too short to judge a trend: " + say.Count(spots, "spot reading") + ", the longest log " + say.Length(longest) + ".", longer}
	}
	return obstacle{strings.TrimSpace("Only " + say.Count(spots, "spot reading") + " so far. " + s.prose(last.Reason)), longer}
}

// A lack is what keeps a feature from being judged, read from its trend's note.
type lack struct {
	cause      cause
	have, want int // judged visits; 0 where they are not the matter
	note       string
}

// cause is what kind of lack it is.
type cause uint8

const (
	otherCause  cause = iota // as the note says
	receiver                 // a receiver hides the charge
	blind                    // nothing tells the season
	weather                  // season and change run together
	span                     // the visits lie too close together
	instruments              // too few with the same instruments
	fewVisits                // too few
)

// counted are the visits there are and those wanted, in a note of package drift.
var counted = regexp.MustCompile(`(\d+|one) visits?.*want (\d+)$`)

// lackOf reads a trend's note.
func lackOf(t table.Trend) lack {
	l := lack{note: t.Note}
	m := counted.FindStringSubmatch(t.Note)
	if m != nil {
		l.have, _ = strconv.Atoi(strings.Replace(m[1], "one", "1", 1))
		l.want, _ = strconv.Atoi(m[2])
	}
	has := func(text string) bool { return strings.Contains(t.Note, text) }
	switch {
	case m != nil && has("instruments"):
		l.cause = instruments
	case m != nil:
		l.cause = fewVisits
	case has("receiver"):
		l.cause = receiver
	case has("is not known"):
		l.cause = blind
	case has("cannot be told apart"):
		l.cause = weather
	case has("days"):
		l.cause = span
	}
	return l
}

// words are the lack in a table's cell; the note stands below the chart.
func (l lack) words() string {
	return "not judged" + [...]string{
		otherCause: "", receiver: ": a receiver hides it", blind: ": nothing tells the season", weather: ": season and change run together", span: ": visits too close together",
		instruments: fmt.Sprintf(": %d of %d visits with the same instruments", l.have, l.want), fewVisits: fmt.Sprintf(": %d of %d visits", l.have, l.want),
	}[l.cause]
}

// nearest is the lack of the feature that is nearest to being judged: with few
// visits missing before many, and before what no visit would settle.
func (s System) nearest() lack {
	latest := s.latest()
	var all []lack
	for _, f := range features {
		if t, ok := latest[f.column]; ok {
			all = append(all, lackOf(t))
		}
	}
	if len(all) == 0 {
		return lack{cause: fewVisits, have: s.used(table.UseTrend), want: leastVisits()}
	}
	return slices.MaxFunc(all, func(a, b lack) int {
		return cmp.Or(cmp.Compare(min(a.cause, instruments), min(b.cause, instruments)), cmp.Compare(a.have-a.want, b.have-b.want))
	})
}

// leastVisits is how many visits a trend takes at least.
func leastVisits() int {
	var o drift.Options
	o.EnsureDefaults()
	return o.MinVisits
}

// lacking puts a lack into words.
func (s System) lacking(l lack) obstacle {
	since := s.watched()
	share := fmt.Sprintf("%d of %d", l.have, l.want)
	switch l.cause {
	case fewVisits:
		return obstacle{"Too few judged visits" + since + ": " + share + ".", "Log it again in steady running" + toGo(l)}
	case instruments:
		return obstacle{"The instruments changed: " + share + " visits with the same ones" + since + ".", "Log it again with the same instruments" + s.serials() + toGo(l)}
	case span:
		return obstacle{"The visits lie too close together" + since + ". " + s.prose(l.note), "Log it again in a month or two."}
	case weather:
		return obstacle{"The season went along with time: season and change cannot be told apart yet.", "Log it in another season too."}
	case blind:
		return obstacle{"Nothing tells the season: it cannot be told from a change.", "Log what enters the condenser (of a heat pump, the evaporator) or the outdoor air at every visit."}
	case receiver:
		return obstacle{"A receiver holds subcooling where it is: the charge cannot be judged from these channels.", "Log the receiver level, where it has a gauge, and the superheat."}
	}
	return obstacle{strings.TrimSpace("No trend can be judged yet, from " + say.Count(s.used(table.UseTrend), "judged visit") + ". " + s.prose(l.note)), "Log it again at the next visits, all channels of its circuit."}
}

// toGo says how many visits more it takes.
func toGo(l lack) string { return "; " + say.Count(max(1, l.want-l.have), "visit") + " to\u00a0go." }

// watched says since when a system is watched anew, and why; nothing where it always was.
func (s System) watched() string {
	at, what := s.anew()
	if at.IsZero() {
		return ""
	}
	return " since " + say.Day(at, s.Zone()) + " (" + strings.Join(what, ", ") + ")"
}

// anew is the latest event before the last visit that voids what was known before:
// only visits after it are compared.
func (s System) anew() (at time.Time, what []string) {
	for _, e := range s.Events {
		switch {
		case e.Time.IsZero() || !e.Kind.Resets() || len(s.Visits) > 0 && e.Time.After(s.Visits[len(s.Visits)-1].End):
		case e.Time.After(at):
			at, what = e.Time, []string{e.Kind.String()}
		case e.Time.Equal(at) && !slices.Contains(what, e.Kind.String()):
			what = append(what, e.Kind.String())
		}
	}
	return at, what
}

// mostSerials is how many serials of instruments a row of the fleet page names.
const mostSerials = 4

// serials are the instruments that most judged visits had since the system is
// watched anew, by their names or, where they are many or have none, by a visit.
func (s System) serials() string {
	from, _ := s.anew()
	count := map[string]int{}
	var most table.Visit
	for _, v := range s.Visits {
		if v.Use == table.UseTrend && !v.Start.Before(from) {
			if count[v.Instruments]++; count[v.Instruments] >= count[most.Instruments] {
				most = v
			}
		}
	}
	names := strings.Fields(most.Instruments)
	switch n := len(names); {
	case n > 0 && n <= mostSerials:
		return " (" + strings.Join(names, ", ") + ")"
	case most.Start.IsZero():
		return ""
	}
	return " as on " + say.Day(most.Start, s.Zone())
}
