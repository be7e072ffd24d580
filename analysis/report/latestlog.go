package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/report/chart"
	"rimelog/analysis/report/say"
	"rimelog/analysis/steady"
	"rimelog/pipeline/table"
)

// The charts of the latest log, by unit of the channels. Pressures are shown in
// bar absolute, and say so.
var logCharts = []struct {
	suffix, id, title, quantity, unit string
	per                               float64 // of the channel's unit in one of the chart's
}{
	{"_temp_c", "log-temperature", "Temperatures of the latest log", "Temperature", "°C", 1},
	{"_pressure_kpa", "log-pressure", "Pressures of the latest log", "Pressure", "bar absolute", 100},
	{"_kw", "log-power", "Power of the latest log", "Power", "kW", 1},
}

// logs are the charts of the latest log, with the stretches that were judged.
func (s System) logs() ([]chart.Chart, error) {
	if s.Log == nil || len(s.Log.Times) == 0 {
		return nil, nil
	}
	var out []chart.Chart
	shades := s.shades()
	for _, k := range logCharts {
		channels := s.channels(k.suffix, k.per)
		if len(channels) == 0 {
			continue
		}
		finding := s.logFinding()
		if len(out) > 0 {
			finding = ranges(channels, k.unit)
		}
		drawn, err := chart.Log{
			ID: k.id, Title: k.title, Quantity: k.quantity, Unit: k.unit, Finding: finding,
			About: s.logAbout(), Channels: channels, Shades: shades, Zone: s.Zone(),
		}.Draw()
		if err != nil {
			return nil, err
		}
		out = append(out, drawn)
	}
	return out, nil
}

// ranges says between what each channel went to and fro.
func ranges(channels []chart.Channel, unit string) string {
	var parts []string
	for _, c := range channels {
		low, high := c.Range()
		lo, hi := say.Number(low, 1), say.Number(high, 1)
		if lo == hi {
			parts = append(parts, c.Name+" "+say.With(hi, unit)+" throughout")
			continue
		}
		parts = append(parts, c.Name+" "+lo+" to "+say.With(hi, unit))
	}
	return stop(capital(strings.Join(parts, ", ")))
}

// channels are the log's columns of one unit that hold anything, in the order of
// the samples table.
func (s System) channels(suffix string, per float64) (out []chart.Channel) {
	for _, c := range s.Log.Columns {
		if !strings.HasSuffix(c.Name, suffix) || !slices.ContainsFunc(c.Values, func(v float64) bool { return !math.IsNaN(v) }) {
			continue
		}
		values := make([]float64, len(c.Values))
		for i, v := range c.Values {
			values[i] = v / per
		}
		out = append(out, chart.Channel{Name: channelName(c.Name, suffix), Times: s.Log.Times, Values: values})
	}
	return out
}

// channelNames are the channels whose column does not name them as the trade does.
var channelNames = map[string]string{
	"": "electric power", "power": "electric power", "outdoor": "outdoor air", "room": "room air",
	"condenser_air_on": "condenser inlet air", "condenser_air_off": "condenser outlet air",
	"evaporator_air_on": "evaporator inlet air", "evaporator_air_off": "evaporator outlet air",
	"sink_inlet": "condenser inlet water", "sink_outlet": "condenser outlet water",
	"source_inlet": "evaporator inlet water", "source_outlet": "evaporator outlet water",
}

func channelName(column, suffix string) string {
	name := strings.TrimSuffix(column, suffix)
	if suffix == "_temp_c" && (name == "suction" || name == "discharge") {
		return name + " gas"
	}
	return cmp.Or(channelNames[name], strings.ReplaceAll(name, "_", " "))
}

// logSpan is the first and last sample of the latest log.
func (s System) logSpan() chart.Span {
	return chart.Span{From: s.Log.Times[0], To: s.Log.Times[len(s.Log.Times)-1]}
}

// shortLog is how long a log is at least that could have been judged: the time to
// settle, and a window. Common practice, no source.
const shortLog = 30 * time.Minute

// shades are the windows of the latest log, and what lies between them.
func (s System) shades() (out []chart.Shade) {
	span := s.logSpan()
	at := span.From
	for _, w := range s.logWindows() {
		if w.Start.After(at) {
			out = append(out, chart.Shade{Span: chart.Span{From: at, To: w.Start}, Grade: "excluded"})
		}
		out = append(out, chart.Shade{Span: chart.Span{From: w.Start, To: w.End}, Grade: shade(w)})
		at = w.End
	}
	if span.To.After(at) {
		out = append(out, chart.Shade{Span: chart.Span{From: at, To: span.To}, Grade: "excluded"})
	}
	return out
}

// shade is what a window is drawn as. A provisional one is shown, never judged.
func shade(w table.Window) string {
	if w.Provisional && w.Grade != string(steady.Spot) {
		return "short"
	}
	return w.Grade
}

// logWindows are the windows that begin within the latest log.
func (s System) logWindows() (out []table.Window) {
	span := s.logSpan()
	for _, w := range s.Windows {
		if !w.Start.Before(span.From) && !w.Start.After(span.To) {
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
	of, use := " of "+say.Length(total), s.logUse()
	switch {
	case still > 0 && hunting > 0:
		return fmt.Sprintf("Steady for %s and oscillating about a constant mean for %s%s: %s", say.Length(still), say.Length(hunting), of, use)
	case still > 0:
		return fmt.Sprintf("Steady for %s%s: %s", say.Length(still), of, use)
	case hunting > 0:
		return fmt.Sprintf("Oscillating about a constant mean for %s%s: %s", say.Length(hunting), of, use)
	case in["short"] > 0:
		state := "Oscillating about a constant mean"
		if short[string(steady.Steady)] {
			state = "Steady"
		}
		return fmt.Sprintf("%s for %s%s: shown, but too short to be judged.", state, say.Length(in["short"]), of)
	case total < shortLog:
		return say.Length(total) + " are too short to be judged: the log is shown only."
	}
	return "Nothing in these " + say.Length(total) + " was steady long enough to be judged: the log is shown only."
}

// logUse is what becomes of the windows of the latest log.
func (s System) logUse() string {
	last := s.Visits[len(s.Visits)-1]
	if last.Use == table.UseTrend || last.Reason == "" {
		return "good enough to be judged."
	}
	return "shown only, for " + stop(lower(last.Reason))
}

func (s System) logAbout() string {
	span := s.logSpan()
	return fmt.Sprintf("%s, %s, wall clock of %s. A gap in a line is a gap in the log.",
		say.Count(len(s.Log.Times), "sample"), say.Span(span.From, span.To, s.Zone()), s.Zone())
}

// windowTable is the windows of the latest log as figures.
func (s System) windowTable() chart.Table {
	t := chart.Table{Caption: "Windows of the latest log: means, uncertainties about 95 %",
		Head: []string{"From", "Length", "Grade", "Superheat, K", "Subcooling, K", "Evaporating, °C", "Condensing, °C", s.medium().Head()}}
	if s.Log == nil || len(s.Log.Times) == 0 {
		return t
	}
	for _, w := range s.logWindows() {
		grade := w.Grade
		if shade(w) == "short" {
			grade += ", too short to be judged"
		}
		if !math.IsNaN(w.Period) {
			grade += ", period " + say.Length(time.Duration(w.Period*float64(time.Second)))
		}
		t.Rows = append(t.Rows, []string{say.Minute(w.Start, s.Zone()), say.Length(w.End.Sub(w.Start)), grade,
			say.PlusMinus(w.Superheat, w.SuperheatU, 1, ""), say.PlusMinus(w.Subcooling, w.SubcoolingU, 1, ""),
			say.Number(w.EvaporatingTemp, 1), say.Number(w.CondensingTemp, 1), say.Number(w.OutdoorTemp, 1)})
	}
	return t
}
