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
