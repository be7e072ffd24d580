package trust

import (
	"fmt"
	"math"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/table"
)

// log checks how the visit was logged.
func (l *look) log() {
	l.clock()
	l.missing()
	l.markers()
	if l.Day {
		return
	}
	if l.step > coarsest {
		l.doubt(Doubt{
			Rule: "D17", Evidence: fmt.Sprintf("%.0f s between samples: hunting, starts and quick changes cannot be seen", l.step),
			Remedy: "set the logger to 10 s, at most a minute",
		})
	}
	minutes := float64(l.Columns.Time[l.To-1]-l.Columns.Time[l.From]) / 60e6
	if l.ran < shortest && minutes < shortestLog && l.To-l.From > 2 {
		l.doubt(Doubt{
			Rule: "D18", Evidence: fmt.Sprintf("%.0f minutes logged, %.0f of them running", minutes, l.ran),
			Remedy: "log at least 20 minutes after the start or after any change",
		})
	}
}

// What a visit's log must hold. Source: 10 to 15 minutes of running; common practice,
// no source.
const (
	coarsest    = 60.5 // s
	shortest    = 10.0 // minutes of running
	shortestLog = 15.0 // minutes in all
)

// needed are the channels without which results are missing, with what is lost.
var needed = [...]struct {
	channels []cycle.Quantity
	lost     string
}{
	{[]cycle.Quantity{cycle.SuctionPressure}, "no evaporating temperature and superheat"},
	{[]cycle.Quantity{cycle.DischargePressure, cycle.LiquidPressure}, "no condensing temperature and subcooling"},
	{[]cycle.Quantity{cycle.SuctionTemp, cycle.OutletTemp}, "no superheat"},
	{[]cycle.Quantity{cycle.LiquidTemp}, "no subcooling"},
	{[]cycle.Quantity{cycle.OutdoorTemp, cycle.CondenserAirOn, cycle.SinkInlet}, "the weather cannot be taken out of comparisons"},
}

// missing names channels that results need.
func (l *look) missing() {
	for _, n := range needed {
		found := false
		for _, q := range n.channels {
			found = found || l.logged(q)
		}
		if found || slices.ContainsFunc(n.channels, func(q cycle.Quantity) bool { return l.Headers[ChannelOf(q)] != "" }) {
			continue // it is in the file, and why it was not taken is told elsewhere
		}
		l.doubt(Doubt{
			Rule: "D23", Channels: about(n.channels[0]), Evidence: ChannelOf(n.channels[0]) + " was not logged: " + n.lost,
			Remedy: "log it at the next visit",
		})
	}
}

// logged tells whether a channel has any value in the visit.
func (l *look) logged(q cycle.Quantity) bool {
	for i := l.From; i < l.To; i++ {
		if v := l.Columns.At(q, i); v == v {
			return true
		}
	}
	return false
}

// A run of markers in one channel while others are measured is the logger saying
// that the probe fails; single ones are gaps of transmission.
const (
	fewestMarkers = 3
	shortestRun   = 45.0 // s
	runUnlikely   = 7.0  // -ln of the chance of such a run among as many gaps elsewhere
)

// markers looks for stretches in which a temperature is missing while others are not.
func (l *look) markers() {
	for _, q := range temperatures {
		if !l.Columns.Has(q) || !l.logged(q) {
			continue
		}
		if slices.ContainsFunc(l.Screened, func(d Doubt) bool { return slices.Contains(d.Channels, q.Column()) }) {
			continue
		}
		from, n := l.longestGap(q)
		if n < fewestMarkers || float64(n)*l.step < shortestRun || !l.standsOut(q, from, n) {
			continue
		}
		l.doubt(Doubt{
			Rule: "D13", Channels: about(q), From: l.Columns.Time[from], To: l.Columns.Time[from+n-1],
			Evidence: fmt.Sprintf("%s has no value in %d samples one after the other, while other channels have", ChannelOf(q), n),
			Remedy:   "check the probe, its plug and its battery",
		})
	}
}

// standsOut tells whether a run of missing values is one of its own: a logger that writes
// changes only leaves gaps everywhere, and some of them follow each other.
func (l *look) standsOut(q cycle.Quantity, from, n int) bool {
	missing := 0
	for i := l.From; i < l.To; i++ {
		if v := l.Columns.At(q, i); v != v && (i < from || i >= from+n) {
			missing++
		}
	}
	rows := float64(l.To - l.From)
	share := float64(missing) / math.Max(rows-float64(n), 1)
	return -float64(n)*math.Log(share)-math.Log(rows) > runUnlikely
}

// longestGap is the longest run of missing values of a quantity between two it has.
func (l *look) longestGap(q cycle.Quantity) (from, n int) {
	open := -1
	for i := l.From; i < l.To; i++ {
		v := l.Columns.At(q, i)
		switch {
		case v != v && open < 0:
			open = i
		case v == v:
			if open > l.From && i-open > n {
				from, n = open, i-open
			}
			open = -1
		}
	}
	return from, n
}

// dated finds a date in a file's name, as people and loggers write it.
var dated = regexp.MustCompile(`(?:^|[^0-9])((?:19|20)\d\d)[-_.]?(0[1-9]|1[0-2])[-_.]?(0[1-9]|[12]\d|3[01])(?:[^0-9]|$)`)

// clock compares the day of the samples with that in the file's name.
func (l *look) clock() {
	if len(l.Paths) != 1 || l.Day {
		return
	}
	m := dated.FindStringSubmatch(path.Base(l.Paths[0]))
	if m == nil {
		return
	}
	day, err := time.ParseInLocation(time.DateOnly, m[1]+"-"+m[2]+"-"+m[3], zoneOr(l.Zone))
	start, end := time.UnixMicro(l.Columns.Time[l.From]), time.UnixMicro(l.Columns.Time[l.To-1])
	const slack = 26 * time.Hour // names may be in another zone, or of the day after
	if err != nil || !start.After(day.Add(24*time.Hour+slack)) && !end.Before(day.Add(-slack)) {
		return
	}
	turned := ""
	if s := start.In(day.Location()); s.Year() == day.Year() && int(s.Month()) == day.Day() && s.Day() == int(day.Month()) {
		turned = "; day and month are the other way round"
	}
	l.doubt(Doubt{
		Rule: "D15", Hides: true,
		Evidence: fmt.Sprintf("the file's name says %s, its samples %s%s", day.Format(time.DateOnly), start.UTC().Format(time.DateOnly), turned),
		Remedy:   "set the logger's clock; if the file is right, take the date out of its name",
	})
}

func zoneOr(z *time.Location) *time.Location {
	if z == nil {
		return time.UTC
	}
	return z
}

// quality is the weight of a doubt in the table.
func (d Doubt) weight() string {
	if d.Hides {
		return "left out"
	}
	return "doubt"
}

// Problems are the doubts about a system's visits as rows of table quality. What a rule
// says of the same channels on several days of one permanent log is one row, with their
// number.
func Problems(system string, facts []Facts) (rows []table.Problem) {
	type said struct{ place, rule, channels, weight string }
	at, days := map[said]int{}, map[said]int{}
	last := map[said]time.Time{}
	for _, f := range facts {
		for _, d := range f.Doubts {
			row := d.problem(system, f)
			k := said{row.Place, d.Rule, strings.Join(d.Channels, " "), row.Weight}
			if _, again := at[k]; f.Day && again {
				days[k], last[k] = days[k]+1, row.Visit
				continue
			}
			rows = append(rows, row)
			if f.Day {
				at[k] = len(rows) - 1
			}
		}
	}
	for k, i := range at {
		switch n := days[k]; {
		case n == 1:
			rows[i].Problem += "; again on " + last[k].Format(time.DateOnly)
		case n > 1:
			rows[i].Problem += fmt.Sprintf("; again on %d days up to %s", n, last[k].Format(time.DateOnly))
		}
	}
	return rows
}

// problem is a doubt as a row of table quality.
func (d Doubt) problem(system string, f Facts) table.Problem {
	p := table.Problem{
		Place: "dataset/samples/system=" + system, System: system, Remedy: d.Remedy, Weight: d.weight(), Rule: d.Rule,
		Visit: time.UnixMicro(f.Start).UTC(),
	}
	if len(f.Paths) > 0 {
		p.Place = "uploads/" + f.Paths[0]
		if d.Rule == "D23" { // the column may be there, and be taken for something else
			p.Remedy += fmt.Sprintf("; if it is in the file, rimelog explain %q says what its columns are taken for", p.Place)
		}
	}
	r, _ := RuleOf(d.Rule)
	what := ""
	if len(d.Channels) > 0 && len(d.Channels) < 4 {
		what = " [" + strings.Join(d.Channels, ", ") + "]"
	}
	p.Problem = fmt.Sprintf("%s (%s)%s: %s", r.Name, d.Rule, what, d.Evidence)
	if len(d.Candidates) > 0 {
		p.Problem += "; it may be " + strings.Join(d.Candidates, ", or ")
	}
	return p
}
