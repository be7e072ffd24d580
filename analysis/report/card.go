package report

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/say"
	"rimelog/analysis/steady"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// cardView is the card for the next visit to a system: one screen of a phone.
type cardView struct {
	ID, Title, Site, Refrigerant string
	Href                         string // of the system's page
	Times                        []cardTime
	Clamps                       []clamp
	Set                          string   // which instruments, and since when
	Lacked                       []string // at the last visit, with what it cost in certainty
	LackedOn                     string
	Check                        string   // what the open finding asks for
	Mind                         []string // hazards of the refrigerant, in short
	Made                         madeView
}

// A cardTime is one stretch of the next log.
type cardTime struct{ Length, What string }

// A clamp is where a channel is taken.
type clamp struct {
	Name, Where string
	Missing     bool // at the last visit
}

func (s System) card(m Made) cardView {
	v := cardView{ID: s.Register.ID, Title: s.Title(), Site: s.Register.Site, Refrigerant: s.Register.RefrigerantName, Href: "../" + SystemPath(s.Register.ID),
		Times: s.nextTimes(), Clamps: s.clamps(), Made: m.in(s.say, s.Zone())}
	if names := s.serials(); names != "" {
		v.Set = capital(strings.Trim(names, " ()"))
	}
	for _, c := range s.hazards() {
		v.Mind = append(v.Mind, c.Head)
	}
	if open := s.open(); len(open) > 0 {
		v.Check = suspicion(s.say, open[0]) + ": " + s.say.Lower(nextCheck(s.say, open[0]))
	}
	if stays := s.stays(); len(stays) > 0 {
		v.LackedOn = s.say.Day(stays[len(stays)-1].start(), s.Zone())
		v.Lacked = s.lacked(stays)
	}
	return v
}

// How long the next log is to be; common practice, no source. A stretch that is judged
// holds at least three hunting periods (package steady).
const (
	atRest    = 10 * time.Minute
	toSettle  = 10 * time.Minute // of a machine that nobody has seen start
	leastRun  = 15 * time.Minute
	mostStart = time.Hour
	periods   = 3
)

// nextTimes are the stretches of the next log, by this machine's own start-up time and
// hunting period.
func (s System) nextTimes() []cardTime {
	settle, period := s.settling(), s.hunting()
	run := max(leastRun, upTo5(periods*period))
	start := s.say.Text("to settle")
	if settle > 0 {
		start, settle = s.say.Text("to settle, as it did before"), max(upTo5(settle), 5*time.Minute)
	} else {
		settle = toSettle
	}
	steady := s.say.Text("of even running. Change nothing meanwhile")
	if period > 0 {
		steady = s.say.Text("of even running: %s of its valve, %s each. Change nothing meanwhile", s.say.Count(int(run/period), "swing"), s.say.Length(period))
	}
	return []cardTime{
		{s.say.Length(atRest), s.say.Text("at standstill first, all connected, where it may be stopped")},
		{s.say.Length(settle), start},
		{s.say.Length(run), steady},
	}
}

// upTo5 rounds up to five minutes.
func upTo5(d time.Duration) time.Duration {
	const five = 5 * time.Minute
	return (d + five - 1) / five * five
}

// settling is how long the machine ran at most before the first stretch that could be
// judged, of the stays whose windows are at hand; 0 where none is.
func (s System) settling() (longest time.Duration) {
	for i := range s.Visits {
		v := &s.Visits[i]
		first, ok := s.firstJudged(v)
		if !ok || v.Part == table.AsLeft {
			continue
		}
		ran := time.Duration(v.Running*float64(time.Minute)) - v.End.Sub(first)
		if ran > 0 && ran <= mostStart {
			longest = max(longest, ran)
		}
	}
	return longest
}

// firstJudged is when the first window of a visit began that could be judged, and follows a
// start. Windows come in time order.
func (s System) firstJudged(v *table.Visit) (at time.Time, ok bool) {
	from, _ := slices.BinarySearchFunc(s.Windows, v.Start, func(w table.Window, t time.Time) int { return w.Start.Compare(t) })
	for i := from; i < len(s.Windows) && s.Windows[i].Start.Before(v.End); i++ {
		if w := &s.Windows[i]; !w.StartUnknown && w.Grade != string(steady.Spot) && w.Grade != string(steady.Singles) {
			return w.Start, true
		}
	}
	return at, false
}

// hunting is the longest hunting period of the windows at hand; 0 where it does not hunt.
func (s System) hunting() (longest time.Duration) {
	for _, w := range s.Windows {
		if !math.IsNaN(w.Period) && w.Grade != string(steady.Spot) {
			longest = max(longest, time.Duration(w.Period*float64(time.Second)).Round(time.Second))
		}
	}
	return longest
}

// channelPlaces are the places of a circuit and where to take them; common practice, no
// source. What they are good for is what a log lacks without them.
var channelPlaces = []struct {
	column            string
	name, where, cost say.Text
}{
	{"suction_pressure_kpa", "Suction pressure", "low-side port", "no superheat and no evaporating temperature"},
	{"discharge_pressure_kpa", "Discharge pressure", "high-side port", "no subcooling and no condensing temperature"},
	{"suction_temp_c", "Suction gas", "pipe beside that port", "no superheat"},
	{"discharge_temp_c", "Discharge gas", "15 cm after the compressor; hot", "no efficiency of the compressor"},
	{"liquid_temp_c", "Liquid", "pipe after the condenser", "no subcooling: lost charge shows late, by superheat alone"},
}

// mediumPlaces are the places of what enters the coils.
var mediumPlaces = map[string][2]say.Text{
	"outdoor_temp_c":           {"Outdoor air", "at the outdoor coil, in the shade"},
	"condenser_air_on_temp_c":  {"Condenser inlet air", "at the coil's inlet"},
	"sink_inlet_temp_c":        {"Condenser inlet water", "inlet pipe"},
	"source_inlet_temp_c":      {"Evaporator inlet water", "inlet pipe"},
	"evaporator_air_on_temp_c": {"Evaporator inlet air", "return air before the coil"},
	"room_temp_c":              {"Room or evaporator inlet air", "return air before the coil"},
}

// clamps are the channels to log, those of the circuit first.
func (s System) clamps() (out []clamp) {
	for _, c := range channelPlaces {
		out = append(out, clamp{s.say.Text(c.name), s.say.Text(c.where), s.Log != nil && !s.logged(c.column)})
	}
	weather, load := s.media()
	for _, column := range []string{weather, load} {
		p := mediumPlaces[column]
		out = append(out, clamp{s.say.Text(p[0]), s.say.Text(p[1]), s.Log != nil && !s.logged(column)})
	}
	if s.logged("power_kw") || s.Register.PowerCovers != "" {
		out = append(out, clamp{s.say.Text("Electric power"), cmp.Or(s.Register.PowerCovers, s.say.Text("as before")), s.Log != nil && !s.logged("power_kw")})
	}
	return out
}

// media are the channels of what enters the coil on the weather's side and on the
// load's: those that were logged, else the first that may be.
func (s System) media() (weather, load string) {
	pick := func(columns ...string) string {
		for _, c := range columns {
			if s.logged(c) {
				return c
			}
		}
		return columns[0]
	}
	var sources []string
	for _, c := range s.sources() {
		sources = append(sources, c.column)
	}
	switch {
	case s.Register.Kind.Heats():
		return pick(sources...), pick("sink_inlet_temp_c", "room_temp_c")
	case s.Register.Kind == register.Chiller:
		return pick(sources...), pick("source_inlet_temp_c", "room_temp_c")
	}
	return pick(sources...), pick("room_temp_c", "evaporator_air_on_temp_c", "source_inlet_temp_c")
}

// lacked is what the last log lacked, and what that cost in certainty.
func (s System) lacked(stays []stay) (out []string) {
	y := stays[len(stays)-1]
	last := y.parts()[len(y.parts())-1]
	if last.Use != table.UseTrend {
		out = append(out, strings.TrimSpace(s.prose(last.Reason)+" "+s.say.Text("It counts for no trend.")))
	}
	if names := s.hidden(y); names != "" {
		out = append(out, s.say.Text("%s: what rests on it is hidden.", capital(names)))
	}
	if s.Log != nil {
		for _, c := range channelPlaces {
			if !s.logged(c.column) {
				out = append(out, s.say.Text("%s was not logged: %s.", s.say.Text(c.name), s.say.Text(c.cost)))
			}
		}
		if weather, _ := s.media(); !s.logged(weather) {
			out = append(out, s.say.Text("%s was not logged: season cannot be told from change.", s.say.Text(mediumPlaces[weather][0])))
		}
		if s.began() == runningAtOnce {
			out = append(out, s.say.Text("It began with the machine running: what the gauges read too much at rest was not seen."))
		}
	}
	if len(stays) > 1 {
		before := stays[len(stays)-2].parts()
		if was := before[len(before)-1]; was.Instruments != y.found.Instruments && last.Use == table.UseTrend {
			out = append(out, s.otherSet(was, *y.found))
		}
	}
	return out
}

// beginning is how a log begins.
type beginning uint8

const (
	beginningUnknown beginning = iota
	standstillFirst
	runningAtOnce
)

// restRatio is the ratio of discharge to suction pressure, both absolute, below which a
// machine is at rest; common practice, no source.
const restRatio = 1.15

// began tells whether the latest log began at standstill.
func (s System) began() beginning {
	column := func(name string) []float64 {
		for _, c := range s.Log.Columns {
			if c.Name == name {
				return c.Values
			}
		}
		return nil
	}
	low, high := column("suction_pressure_kpa"), column("discharge_pressure_kpa")
	if len(low) == 0 || len(high) == 0 {
		return beginningUnknown
	}
	switch ratio := high[0] / low[0]; {
	case math.IsNaN(ratio) || s.daily():
		return beginningUnknown
	case ratio < restRatio:
		return standstillFirst
	}
	return runningAtOnce
}

// daily tells whether the system is logged all the time: its last stay is most of a day.
func (s System) daily() bool {
	stays := s.stays()
	return len(stays) > 0 && stays[len(stays)-1].end().Sub(stays[len(stays)-1].start()) > 12*time.Hour
}
