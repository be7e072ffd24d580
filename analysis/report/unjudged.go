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
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// An obstacle is the main reason why nothing of a system can be judged, and what
// would let it be judged: one sentence each. The details are beside each feature.
type obstacle struct{ why, how string }

// obstacle names the first thing in the way, in the order of the flow.
func (s System) obstacle() obstacle {
	switch {
	case len(s.Visits) == 0:
		return obstacle{s.say.Text("No log has been read."), s.say.Text("Put its logs below uploads/%s/, or name its files in register/channels.csv.", s.Register.ID)}
	case s.Register.RefrigerantName == "" && len(s.Restated) == 0:
		return obstacle{s.say.Text("Its refrigerant is not known, and its visits fit none so far: nothing can be worked out from the pressures."),
			s.say.Text("Read it from the nameplate and write it into register/systems.csv, in the line of %s.", s.Register.ID)}
	case s.used(table.UseTrend) == 0:
		return s.neverJudged()
	}
	return s.lacking(s.nearest())
}

// used counts the visits of one use.
func (s System) used(use string) (n int) {
	visits := s.asJudged()
	for i := range visits {
		if visits[i].Use == use {
			n++
		}
	}
	return n
}

const longer say.Text = "Log longer: let it settle, then record at least 15 minutes of steady running, or three hunting periods."

// neverJudged is the obstacle of a system without a single judged visit.
func (s System) neverJudged() obstacle {
	spots, last := s.used(table.UseSpot), s.Visits[len(s.Visits)-1]
	var longest time.Duration
	for i := range s.Visits {
		longest = max(longest, s.Visits[i].End.Sub(s.Visits[i].Start))
	}
	switch {
	case spots == 0:
		return obstacle{strings.TrimSpace(s.say.Text("No reading can be used, from %s.", s.say.Count(len(s.Visits), "visit")) + " " + s.prose(last.Reason)), s.say.Text(longer)}
	case longest < shortLog:
		return obstacle{s.say.Text("Too short to judge a trend: %s, the longest log %s.", s.say.Count(spots, "spot reading"), s.say.Length(longest)), s.say.Text(longer)}
	}
	return obstacle{strings.TrimSpace(s.say.Text("Only %s so far.", s.say.Count(spots, "spot reading")) + " " + s.prose(last.Reason)), s.say.Text(longer)}
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
func (l lack) words(in say.Locale) string {
	share := func(t say.Text) string { return in.Text(t, fmt.Sprint(l.have), fmt.Sprint(l.want)) }
	switch l.cause {
	case instruments:
		return share("not judged yet: %s of the %s visits needed with the same instruments")
	case fewVisits:
		return share("not judged yet: %s of the %s visits needed")
	}
	return in.Text(map[cause]say.Text{
		otherCause: "not judged", receiver: "not judged: a receiver hides it", blind: "not judged: nothing tells the season",
		weather: "not judged: season and change run together", span: "not judged: visits too close together",
	}[l.cause])
}

// nearest is the lack of the feature that is nearest to being judged: with few
// visits missing before many, and before what no visit would settle.
func (s System) nearest() lack {
	latest := s.latest()
	var all []lack
	for _, f := range features {
		if t, ok := latest[f.column]; ok {
			if judged(t) && hidesCharge(latest) { // the rest can be judged: what hides the charge is what lacks
				return lack{cause: receiver}
			}
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
	share := s.say.Text("%s of %s", fmt.Sprint(l.have), fmt.Sprint(l.want))
	switch l.cause {
	case fewVisits:
		return obstacle{s.say.Text("Too few judged visits%s: %s.", since, share), s.say.Text("Log it again in steady running%s", toGo(s.say, l))}
	case instruments:
		return obstacle{s.say.Text("The instruments changed: %s visits with the same ones%s.", share, since), s.say.Text("Log it again with the same instruments%s%s", s.serials(), toGo(s.say, l))}
	case span:
		return obstacle{s.say.Text("The visits lie too close together%s. %s", since, s.prose(l.note)), s.say.Text("Log it again in a month or two.")}
	case weather:
		return obstacle{s.say.Text("The season went along with time: season and change cannot be told apart yet."), s.say.Text("Log it in another season too.")}
	case blind:
		return obstacle{s.say.Text("Nothing tells the season: it cannot be told from a change."), s.say.Text("Log what enters the condenser (of a heat pump, the evaporator) or the outdoor air at every visit.")}
	case receiver:
		return obstacle{s.say.Text("A receiver holds subcooling where it is: the charge cannot be judged from these channels."), s.say.Text("Log the receiver level, where it has a gauge, and the superheat.")}
	}
	return obstacle{strings.TrimSpace(s.say.Text("No trend can be judged yet, from %s.", s.say.Count(s.used(table.UseTrend), "judged visit")) + " " + s.prose(l.note)), s.say.Text("Log it again at the next visits, all channels of its circuit.")}
}

// toGo says how many visits more it takes.
func toGo(in say.Locale, l lack) string {
	return in.Text("; %s to\u00a0go.", in.Count(max(1, l.want-l.have), "visit"))
}

// watched says since when a system is watched anew, and why; nothing where it always was.
func (s System) watched() string {
	at, what := s.anew()
	if at.IsZero() {
		return ""
	}
	return s.say.Text(" since %s (%s)", s.say.Day(at, s.Zone()), strings.Join(what, ", "))
}

// anew is the latest event before the last visit that voids what was known before:
// only visits after it are compared.
func (s System) anew() (at time.Time, what []string) {
	for _, e := range s.Events {
		switch {
		case e.Time.IsZero() || !e.Kind.Resets() || len(s.Visits) > 0 && e.Time.After(s.Visits[len(s.Visits)-1].End):
		case e.Time.After(at):
			at, what = e.Time, []string{s.say.Prose(e.Kind.String())}
		case e.Time.Equal(at) && !slices.Contains(what, s.say.Prose(e.Kind.String())):
			what = append(what, s.say.Prose(e.Kind.String()))
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
	most := &table.Visit{}
	for i := range s.Visits {
		if v := &s.Visits[i]; v.Use == table.UseTrend && !v.Start.Before(from) {
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
	return s.say.Text(" as on %s", s.say.Day(most.Start, s.Zone()))
}
