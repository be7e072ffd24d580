package register

import (
	"math"
	"time"
)

// An Instrument is a sensor with its electronics, by serial number: a row of
// instruments.csv. Limit, span and offset are in Unit.
type Instrument struct {
	Serial       string
	Kind         InstrumentKind
	Class        string    // accuracy class as its paper names it; free text
	Limit        float64   // limits of error, plus or minus; NaN unknown
	LimitPercent float64   // limits of error, plus or minus, in percent of span; NaN unknown
	Unit         string    // as people write it
	SpanLow      float64   // NaN unknown
	SpanHigh     float64   // NaN unknown
	Offset       float64   // what it shows too much, from its calibration; NaN unknown
	Calibrated   time.Time // date of the last calibration, UTC; zero unknown
	Note         string

	Line int // of instruments.csv
}

// NewInstrument returns an instrument of which only the serial number is known.
func NewInstrument(serial string) Instrument {
	nan := math.NaN()
	return Instrument{Serial: serial, Limit: nan, LimitPercent: nan, SpanLow: nan, SpanHigh: nan, Offset: nan}
}

// InstrumentKind is what an instrument measures.
type InstrumentKind uint8

// The kinds of instrument.
const (
	InstrumentUnknown InstrumentKind = iota
	PressureInstrument
	TemperatureInstrument
	HumidityInstrument
	FlowInstrument
	PowerInstrument
	CurrentInstrument
	VoltageInstrument
	OtherInstrument
)

// instrumentForm is instruments.csv.
func instrumentForm() form[Instrument] {
	number := func(name, doc string, field func(*Instrument) *float64) column[Instrument] {
		return numberColumn(name, "", doc, -1e9, 1e9, field)
	}
	return form[Instrument]{
		name:  "instruments.csv",
		doc:   "one line for each sensor",
		fresh: func(line int) Instrument { i := NewInstrument(""); i.Line = line; return i },
		line:  func(i *Instrument) int { return i.Line },
		columns: []column[Instrument]{
			textColumn("serial", "serial number, as in channels.csv", func(i *Instrument) *string { return &i.Serial }),
			wordColumn("kind", "what it measures", instrumentWords, func(i *Instrument) *InstrumentKind { return &i.Kind }),
			textColumn("class", "accuracy class, as its paper names it", func(i *Instrument) *string { return &i.Class }),
			numberColumn("limit", "", "limits of error, plus or minus, in the line's unit", 0, 1e9, func(i *Instrument) *float64 { return &i.Limit }),
			numberColumn("limit_pct", "%", "limits of error, plus or minus, % of span", 0, 100, func(i *Instrument) *float64 { return &i.LimitPercent }),
			textColumn("unit", "of limit, span and offset", func(i *Instrument) *string { return &i.Unit }),
			number("span_low", "lower end of the span", func(i *Instrument) *float64 { return &i.SpanLow }),
			number("span_high", "upper end of the span", func(i *Instrument) *float64 { return &i.SpanHigh }),
			number("offset", "what it shows too much, from its calibration", func(i *Instrument) *float64 { return &i.Offset }),
			dateColumn("calibrated_on", "date of the last calibration: the limits of error grow from then on",
				func(i *Instrument, t time.Time, _ bool) { i.Calibrated = t.Truncate(24 * time.Hour) },
				func(i *Instrument) string { return moments(i.Calibrated, false) }),
			textColumn("note", "anything else", func(i *Instrument) *string { return &i.Note }),
		},
	}
}
