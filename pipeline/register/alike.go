package register

import (
	"math"
	"time"
)

// Alike is what instruments of one make of logger have in common, as far as the register
// tells: of those behind columns of that name and channel, in files of any system, the
// one with the widest limits of error, without serial number and calibration. False
// where no row names an instrument with limits there.
func (r *Register) Alike(channel, column string) (Instrument, bool) {
	i, ok := r.alike[makeOf{channel, foldHeader(column)}]
	return i, ok
}

// A makeOf is by what columns of one make of logger are known: headers that people would
// choose by chance alike say less, and then the widest limits count.
type makeOf struct{ channel, header string }

// findAlike collects, for each header, the widest instrument behind it.
func (r *Register) findAlike() {
	r.alike = map[makeOf]Instrument{}
	for _, rows := range r.channels {
		for _, c := range rows {
			i, ok := r.Instrument(c.Instrument)
			if !ok || c.Column == "" || c.Index > 1 || math.IsNaN(i.widest()) {
				continue
			}
			i.Serial, i.Offset, i.Calibrated, i.Note, i.Line = "", math.NaN(), time.Time{}, "", 0
			key := makeOf{c.Channel, foldHeader(c.Column)}
			if known, ok := r.alike[key]; !ok || wider(i, known) {
				r.alike[key] = i
			}
		}
	}
}

// widest is the limit of error in the instrument's unit; NaN unknown.
func (i Instrument) widest() float64 {
	if !math.IsNaN(i.Limit) {
		return i.Limit
	}
	return i.LimitPercent / 100 * (i.SpanHigh - i.SpanLow)
}

// wider tells which of two instruments has the wider limits, in any order of rows the
// same; units that differ are told apart by name.
func wider(a, b Instrument) bool {
	if a.widest() != b.widest() {
		return a.widest() > b.widest()
	}
	return instrumentForm().canonical(&a) < instrumentForm().canonical(&b)
}
