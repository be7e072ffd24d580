package register

import (
	"math"
	"strings"
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
	h := headers{}
	r.alike = map[makeOf]Instrument{}
	widest, behind := map[makeOf]anonymous{}, r.anonymous()
	for _, rows := range r.channels {
		for _, c := range rows {
			i, ok := behind[strings.ToLower(c.Instrument)]
			if !ok || c.Column == "" || c.Index > 1 {
				continue
			}
			key := makeOf{c.Channel, h.fold(c.Column)}
			if known, ok := widest[key]; !ok || i.widerThan(known) {
				widest[key], r.alike[key] = i, i.Instrument
			}
		}
	}
}

// An anonymous is an instrument without what tells it from others of its make.
type anonymous struct {
	Instrument
	limit float64 // of error, in its unit
	text  string  // canonical
}

// anonymous are the instruments with limits of error, by serial number in small letters.
func (r *Register) anonymous() map[string]anonymous {
	out, form := map[string]anonymous{}, instrumentForm()
	for _, i := range r.Instruments {
		limit := i.widest()
		if math.IsNaN(limit) {
			continue
		}
		serial := strings.ToLower(i.Serial)
		i.Serial, i.Offset, i.Calibrated, i.Note, i.Line = "", math.NaN(), time.Time{}, "", 0
		out[serial] = anonymous{i, limit, form.canonical(&i)}
	}
	return out
}

// widest is the limit of error in the instrument's unit; NaN unknown.
func (i Instrument) widest() float64 {
	if !math.IsNaN(i.Limit) {
		return i.Limit
	}
	return i.LimitPercent / 100 * (i.SpanHigh - i.SpanLow)
}

// widerThan tells which of two instruments has the wider limits, in any order of rows the
// same; units that differ are told apart by name.
func (i anonymous) widerThan(other anonymous) bool {
	if i.limit != other.limit {
		return i.limit > other.limit
	}
	return i.text < other.text
}
