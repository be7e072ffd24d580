package report

import (
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/analysis/steady"
	"rimelog/pipeline/table"
)

// The charts of the latest log, by unit of the channels. Pressures say whether they are
// counted from the air or from vacuum.
var logCharts = []struct {
	suffix, id      string
	title, quantity say.Text
	of              say.Quantity
}{
	{"_temp_c", "log-temperature", "Temperatures of the latest log", "Temperature", say.Temperature},
	{"_pressure_kpa", "log-pressure", "Pressures of the latest log", "Pressure", say.Pressure},
	{"_kw", "log-power", "Power of the latest log", "Power", say.Electric},
}

// logs are the charts of the latest log, with the stretches that were judged.
func (s System) logs() ([]chart.Chart, error) {
	if s.Log == nil || len(s.Log.Times) == 0 {
		return nil, nil
	}
	var out []chart.Chart
	shades := s.shades()
	for _, k := range logCharts {
		channels := s.channels(k.suffix, k.of)
		if len(channels) == 0 {
			continue
		}
		finding := s.logFinding()
		if len(out) > 0 {
			finding = ranges(s.say, channels, s.say.Unit(k.of))
		}
		drawn, err := chart.Log{
			ID: k.id, Title: s.say.Text(k.title), Quantity: s.say.Text(k.quantity), Unit: s.say.Unit(k.of), Say: s.say, Finding: finding,
			About: s.logAbout(k.of), Channels: channels, Shades: shades, Zone: s.Zone(),
		}.Draw()
		if err != nil {
			return nil, err
		}
		out = append(out, drawn)
	}
	return out, nil
}

// ranges says between what each channel went to and fro.
func ranges(l say.Locale, channels []chart.Channel, unit string) string {
	var parts []string
	for _, c := range channels {
		low, high := c.Range()
		lo, hi := l.Number(low, 1), l.Number(high, 1)
		if lo == hi {
			parts = append(parts, l.Text("%s %s throughout", c.Name, l.With(hi, unit)))
			continue
		}
		parts = append(parts, l.Text("%s %s to %s", c.Name, lo, l.With(hi, unit)))
	}
	return say.Stop(capital(strings.Join(parts, ", ")))
}

// channels are the log's columns of one unit that hold anything, in the order of
// the samples table.
func (s System) channels(suffix string, of say.Quantity) (out []chart.Channel) {
	for _, c := range s.Log.Columns {
		if !strings.HasSuffix(c.Name, suffix) || !slices.ContainsFunc(c.Values, func(v float64) bool { return !math.IsNaN(v) }) {
			continue
		}
		values := make([]float64, len(c.Values))
		for i, v := range c.Values {
			values[i] = s.say.In(of, v)
		}
		out = append(out, chart.Channel{Name: channelName(s.say, c.Name, suffix), Times: s.Log.Times, Values: values})
	}
	return out
}

// channelNames are the channels whose column does not name them as the trade does.
var channelNames = map[string]say.Text{
	"": "electric power", "power": "electric power", "outdoor": "outdoor air", "room": "room air",
	"condenser_air_on": "condenser inlet air", "condenser_air_off": "condenser outlet air",
	"evaporator_air_on": "evaporator inlet air", "evaporator_air_off": "evaporator outlet air",
	"sink_inlet": "condenser inlet water", "sink_outlet": "condenser outlet water",
	"source_inlet": "evaporator inlet water", "source_outlet": "evaporator outlet water",
}

func channelName(l say.Locale, column, suffix string) string {
	name := strings.TrimSuffix(column, suffix)
	switch {
	case suffix == "_temp_c" && name == "suction":
		return l.Text("suction gas")
	case suffix == "_temp_c" && name == "discharge":
		return l.Text("discharge gas")
	case channelNames[name] != "":
		return l.Text(channelNames[name])
	}
	return l.Prose(strings.ReplaceAll(name, "_", " "))
}

// logSpan is the first and last sample of the latest log.
func (s System) logSpan() chart.Span {
	return chart.Span{From: s.Log.Times[0], To: s.Log.Times[len(s.Log.Times)-1]}
}

// shortLog is how long a log is at least that could have been judged: the time to
// settle, and a window. Common practice, no source.
const shortLog = 30 * time.Minute

// shades are the windows of the latest log, and what the machine did between them.
func (s System) shades() (out []chart.Shade) {
	span := s.logSpan()
	at := span.From
	for _, w := range s.logWindows() {
		out = append(out, s.leftOut(at, w.Start)...)
		out = append(out, chart.Shade{Span: chart.Span{From: w.Start, To: w.End}, Grade: shade(w)})
		at = w.End
	}
	return append(out, s.leftOut(at, span.To)...)
}

// shade is what a window is drawn as. A provisional one is shown, never judged.
func shade(w table.Window) string {
	if w.Provisional && w.Grade != string(steady.Spot) {
		return "short"
	}
	return w.Grade
}

// logWindows are the windows that begin within the latest log; a day's single samples are no
// stretch of it.
func (s System) logWindows() (out []table.Window) {
	span := s.logSpan()
	for _, w := range s.Windows {
		if !w.Start.Before(span.From) && !w.Start.After(span.To) && w.Grade != string(steady.Singles) {
			out = append(out, w)
		}
	}
	return out
}

// logFinding answers whether the latest log was good enough.
func (s System) logFinding() string {
	span := s.logSpan()
	total := span.To.Sub(span.From)
	in, short := map[string]time.Duration{}, map[string]bool{} // by grade
	for _, w := range s.logWindows() {
		in[shade(w)] += w.End.Sub(w.Start)
		short[w.Grade] = shade(w) == "short"
	}
	still, hunting := in[string(steady.Steady)], in[string(steady.Oscillating)]
	of, use := s.say.Length(total), s.logUse()
	switch {
	case still > 0 && hunting > 0:
		return s.say.Text("Steady for %s and oscillating about a constant mean for %s of %s: %s", s.say.Length(still), s.say.Length(hunting), of, use)
	case still > 0:
		return s.say.Text("Steady for %s of %s: %s", s.say.Length(still), of, use)
	case hunting > 0:
		return s.say.Text("Oscillating about a constant mean for %s of %s: %s", s.say.Length(hunting), of, use)
	case in["short"] > 0:
		state := say.Text("Oscillating about a constant mean for %s of %s: shown, but too short to be judged.")
		if short[string(steady.Steady)] {
			state = "Steady for %s of %s: shown, but too short to be judged."
		}
		return s.say.Text(state, s.say.Length(in["short"]), of)
	case total < shortLog:
		return s.say.Text("%s are too short to be judged: the log is shown only.", of)
	}
	return s.say.Text("Nothing in these %s was steady long enough to be judged: the log is shown only.", of)
}

// logUse is what becomes of the windows of the latest log.
func (s System) logUse() string {
	last := s.Visits[len(s.Visits)-1]
	if s.Register.RefrigerantName == "" {
		return s.say.Text("shown only, for its refrigerant is not known.")
	}
	if last.Use == table.UseTrend || last.Reason == "" {
		return s.say.Text("good enough to be judged.")
	}
	return s.say.Text("shown only, for %s", say.Stop(s.say.Lower(s.say.Prose(last.Reason))))
}

func (s System) logAbout(of say.Quantity) string {
	span := s.logSpan()
	text := s.say.Text("%s, %s, wall clock of %s. A gap in a line is a gap in the log.",
		s.say.Count(len(s.Log.Times), "sample"), s.say.Span(span.From, span.To, s.Zone()), s.Zone().String())
	if of == say.Pressure {
		text += s.gauges()
	}
	return text
}

// gauges says what gauge pressures are counted from, where that is not known of the site.
func (s System) gauges() string {
	switch {
	case s.say.Units().Absolute:
		return ""
	case math.IsNaN(s.Register.Altitude):
		return " " + s.say.Text("Gauge pressures are above the standard atmosphere at sea level: the register does not say the altitude.")
	}
	return " " + s.say.Text("Gauge pressures are above the standard atmosphere at %s.", s.say.Figure(say.Altitude, s.Register.Altitude, 0))
}

// windowTable is the windows of the latest log as figures.
func (s System) windowTable() chart.Table {
	kelvin, degrees := s.say.Unit(say.Difference), s.say.Unit(say.Temperature)
	t := chart.Table{Caption: s.say.Text("Windows of the latest log: means, uncertainties about 95 %"),
		Head: []string{s.say.Text("From"), s.say.Text("Length"), s.say.Text("Grade"), s.say.Text("Superheat, %s", kelvin), s.say.Text("Subcooling, %s", kelvin),
			s.say.Text("Evaporating, %s", degrees), s.say.Text("Condensing, %s", degrees), s.medium().Head()}}
	if s.Log == nil || len(s.Log.Times) == 0 {
		return t
	}
	kelvins := func(v, u float64) string {
		k := s.say.PerUnit(say.Difference)
		return s.say.PlusMinus(k*v, k*u, 1, "")
	}
	celsius := func(v float64) string { return s.say.Number(s.say.In(say.Temperature, v), 1) }
	for _, w := range s.logWindows() {
		grade := s.say.Prose(w.Grade)
		if shade(w) == "short" {
			grade = s.say.Text("%s, too short to be judged", grade)
		}
		if w.StartUnknown {
			grade = s.say.Text("%s, start unknown", grade)
		}
		if !math.IsNaN(w.Period) {
			grade = s.say.Text("%s, period %s", grade, s.say.Length(time.Duration(w.Period*float64(time.Second))))
		}
		t.Rows = append(t.Rows, []string{s.say.Minute(w.Start, s.Zone()), s.say.Length(w.End.Sub(w.Start)), grade,
			kelvins(w.Superheat, stated(w.SuperheatU, w.SuperheatHalf)), kelvins(w.Subcooling, stated(w.SubcoolingU, w.SubcoolingHalf)),
			celsius(w.EvaporatingTemp), celsius(w.CondensingTemp), celsius(w.OutdoorTemp)})
	}
	return t
}
