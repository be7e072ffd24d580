package trust

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// A Visit is what Look needs to know of one stay at a system.
type Visit struct {
	Circuit  *cycle.Circuit
	Columns  *cycle.Columns    // derived
	From     int               // rows of the stay
	To       int               // the first row after it
	On       []bool            // whether the compressor ran, by row of Columns
	Paths    []string          // below uploads/, of the files that hold it
	Headers  map[string]string // the header of a channel's column in the first of them, by the register's name
	Limits   cycle.Instruments
	Air      float64        // kPa, of the air at the site; NaN where the altitude is not known
	Zone     *time.Location // of the site's clocks; nil unknown
	Day      bool           // a day of a permanent logger
	Screened []Doubt        // what Screen took out of it
	Logged   []Logged       // differences that the logger worked out by itself, of the whole of Columns
}

// Facts are what is kept of a visit for the visits after it.
type Facts struct {
	Start   int64              `json:"start"` // microseconds since 1970
	End     int64              `json:"end"`
	Day     bool               `json:"day,omitempty"`
	Mode    string             `json:"mode,omitempty"`
	Fluid   string             `json:"fluid,omitempty"` // the refrigerant that was in the machine, by the register
	Paths   []string           `json:"paths,omitempty"`
	Serials []string           `json:"serials,omitempty"`
	Print   string             `json:"print,omitempty"`  // how the logger calls its channels
	Mean    map[string]float64 `json:"mean,omitempty"`   // of the settled running machine, by quantity
	U       map[string]float64 `json:"u,omitempty"`      // standard uncertainties of what follows from the means, by instruments
	Rest    map[string]float64 `json:"rest,omitempty"`   // at standstill: what pressures show too much, K
	Still   map[string]Still   `json:"still,omitempty"`  // at standstill: the sides that can be judged, by pressure
	Stop    *Stop              `json:"stop,omitempty"`   // the only one in the middle of it
	Doubts  []Doubt            `json:"doubts,omitempty"` // what the rules say
	Follow  []string           `json:"follow,omitempty"` // probes that swing with a hunting valve as well clamped ones do
	Near    bool               `json:"near,omitempty"`   // superheat near zero, though the gas is hot: says something only where most visits show it
	Taken   []string           `json:"taken,omitempty"`  // rules of which the doubt became that of the system's refrigerant
	Looked  string             `json:"looked,omitempty"` // digest of what was known before the review, from it on

	means  *cycle.Row // Mean, while visits are reviewed
	course []float64  // the almanac's row of its start, while they are
}

// settle is left out after a start before means are taken; warm is after which time the
// discharge line has warmed up, and means of it say something (trade measurement: still
// 2.4 K between minute 15 and 20 after a start).
const (
	settle = 5 * time.Minute
	warm   = 18 * time.Minute
)

// fewest is how many samples a mean needs; fewestApart, what is far below zero: samples some
// minutes apart are few in a visit.
const (
	fewest      = 8
	fewestApart = 3
)

// A look is a visit under the rules.
type look struct {
	Visit
	rows   []int     // of the settled running machine
	warm   []bool    // whether the discharge line was warm at each of them
	step   float64   // usual distance of samples, s
	ran    float64   // minutes of running
	mean   cycle.Row // over rows
	u      cycle.Row // standard uncertainties of the mean, by instruments
	doubts []Doubt

	follow   []string // probes that swing with a hunting valve
	bins     bins
	residues map[cycle.Quantity][]float64 // over rows, without line and bend
}

// Look goes over one visit.
func Look(v Visit) Facts {
	l := newLook(v)
	f := Facts{
		Start: v.Columns.Time[v.From], End: v.Columns.Time[v.To-1], Day: v.Day, Paths: v.Paths, Serials: v.Limits.Serials,
		Print: columnsOf(v.Headers), Mode: l.mode(), Fluid: v.Circuit.System.RefrigerantName, Mean: l.means(), U: l.uncertainties(),
	}
	l.log()
	l.deaf()
	rest := l.standstill()
	f.Rest, f.Still = rest.offsets(), rest.stills()
	if len(l.rows) >= fewest {
		l.converted()
		l.places()
		f.Near = l.nearlyWet()
		l.dynamics()
	} else {
		l.reversedPressures()
		if len(l.rows) >= fewestApart {
			l.belowZero()
		}
	}
	f.Stop = l.stop()
	f.Follow, f.Doubts = l.follow, l.doubts
	return f
}

// columnsOf is how a logger calls its pressure and pipe columns.
func columnsOf(headers map[string]string) string {
	var names []string
	for _, channel := range []string{"suction_pressure", "suction_temp"} {
		if name := headers[channel]; name != "" {
			names = append(names, strconv.Quote(name))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "columns " + strings.Join(names, ", ")
}

func newLook(v Visit) *look {
	l := &look{Visit: v, doubts: slices.Clone(v.Screened), mean: cycle.NewRow(), residues: map[cycle.Quantity][]float64{}}
	t := v.Columns.Time
	if n := v.To - v.From; n > 1 {
		l.step = float64(t[v.To-1]-t[v.From]) / 1e6 / float64(n-1)
	}
	ready, hot := t[v.From], t[v.From]
	running := 0
	for i := v.From; i < v.To; i++ {
		if !v.On[i] {
			continue
		}
		running++
		if i > v.From && !v.On[i-1] {
			ready, hot = t[i]+settle.Microseconds(), t[i]+warm.Microseconds()
		}
		if t[i] >= ready && !(v.Columns.InAir != nil && v.Columns.InAir[i]) {
			l.rows, l.warm = append(l.rows, i), append(l.warm, t[i] >= hot)
		}
	}
	l.ran = float64(running) * l.step / 60
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		if v.Columns.Has(q) && len(l.rows) > 0 {
			l.mean[q] = meanOf(l.values(q))
		}
	}
	l.u = v.Circuit.Uncertainty(&l.mean, v.Limits)
	return l
}

// carried is over which gap a value holds: loggers that write what has changed leave out the
// rest.
const carried = 5 * time.Minute

// values are those of a quantity over the settled running machine.
func (l *look) values(q cycle.Quantity) []float64 {
	out := make([]float64, len(l.rows))
	last := -1
	for k, i := range l.rows {
		if out[k] = l.Columns.At(q, i); !math.IsNaN(out[k]) {
			last = k
		} else if last >= 0 && l.Columns.Time[i]-l.Columns.Time[l.rows[last]] <= carried.Microseconds() {
			out[k] = out[last]
		}
	}
	return out
}

func meanOf(x []float64) float64 {
	mean, _, n, err := robust.Mean(x)
	if err != nil || 2*n < len(x) {
		return math.NaN()
	}
	return mean
}

// means are the known means, by quantity.
func (l *look) means() map[string]float64 {
	out := map[string]float64{}
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		v := l.mean[q]
		if q == cycle.DischargeTemp || q == cycle.DischargeSuperheat {
			v = l.whenWarm(q)
		}
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			out[q.String()] = v
		}
	}
	return out
}

// whenWarm is the mean of a quantity of the discharge line once that is warm; NaN where it
// never was.
func (l *look) whenWarm(q cycle.Quantity) float64 {
	if !l.Columns.Has(q) {
		return math.NaN()
	}
	var x []float64
	for k, i := range l.rows {
		if l.warm[k] {
			x = append(x, l.Columns.At(q, i))
		}
	}
	if len(x) < fewest {
		return math.NaN()
	}
	return meanOf(x)
}

// uncertain are the quantities whose uncertainty history needs.
var uncertain = [...]cycle.Quantity{cycle.Superheat, cycle.Subcooling, cycle.EvaporatorTD, cycle.CondenserTD, cycle.DischargeSuperheat, cycle.Evaporating, cycle.Condensing}

// uncertainties are those that are known, by quantity.
func (l *look) uncertainties() map[string]float64 {
	out := map[string]float64{}
	for _, q := range uncertain {
		if !math.IsNaN(l.u[q]) {
			out[q.String()] = l.u[q]
		}
	}
	return out
}

// doubt adds what a rule says.
func (l *look) doubt(d Doubt) { l.doubts = append(l.doubts, d) }

// has tells whether all quantities have a mean.
func (l *look) has(quantities ...cycle.Quantity) bool {
	for _, q := range quantities {
		if math.IsNaN(l.mean[q]) {
			return false
		}
	}
	return true
}

// suspect tells whether a rule has spoken, about a channel where one is given.
func (l *look) suspect(rule string) bool {
	for _, d := range l.doubts {
		if d.Rule == rule {
			return true
		}
	}
	return false
}

// doubted tells whether a rule has spoken about a channel.
func (l *look) doubted(q cycle.Quantity) bool {
	for _, d := range l.doubts {
		if d.touches(q) {
			return true
		}
	}
	return false
}
