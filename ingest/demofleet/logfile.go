package demofleet

import (
	"io"
	"math"
	"time"
)

// writeLog writes the record of a visit as the kit's logger does. It returns the
// number of rows.
func (m *machine) writeLog(w io.Writer, v visit, t *trace, s *set) (int, error) {
	d := &s.dialect
	zone := m.weather.location()
	if d.utc {
		zone = time.UTC
	}
	buf := d.head(m, fileInfo{serial: s.sensors[suctionPressure].serial, start: v.start.In(zone), interval: s.interval}, v.channels)
	sums := newSummary(len(v.channels))
	rows := 0
	for now := v.start; now.Before(v.end()); now = now.Add(s.interval) {
		x := t.at(now)
		buf = d.stamp(buf, now.In(zone), d.delimiter)
		for i, q := range v.channels {
			shown := s.show(&x, q)
			sums.add(i, shown)
			buf = d.value(append(buf, d.delimiter), d.units[q.class()], shown, s.air)
		}
		buf = append(buf, d.lineEnd...)
		rows++
		if len(buf) > 1<<16 {
			if _, err := w.Write(buf); err != nil {
				return rows, err
			}
			buf = buf[:0]
		}
	}
	if d.footer && rows > 0 {
		buf = d.foot(buf, sums, v.channels, s.air)
	}
	_, err := w.Write(buf)
	return rows, err
}

// A summary is what a logger prints below its table.
type summary struct {
	n              int
	low, high, sum []float64
}

func newSummary(columns int) *summary {
	s := &summary{low: make([]float64, columns), high: make([]float64, columns), sum: make([]float64, columns)}
	for i := range columns {
		s.low[i], s.high[i] = math.Inf(1), math.Inf(-1)
	}
	return s
}

func (s *summary) add(column int, v float64) {
	s.low[column], s.high[column] = min(s.low[column], v), max(s.high[column], v)
	s.sum[column] += v
	if column == 0 {
		s.n++
	}
}

// foot writes the lowest, highest and mean values below the data.
func (d *dialect) foot(buf []byte, s *summary, channels []quantity, air float64) []byte {
	for row, name := range []string{"Min", "Max", "Mean"} {
		buf = append(buf, name...)
		for range len(d.timeNames) - 1 {
			buf = append(buf, d.delimiter)
		}
		for i, q := range channels {
			v := [3]float64{s.low[i], s.high[i], s.sum[i] / float64(s.n)}[row]
			buf = d.value(append(buf, d.delimiter), d.units[q.class()], v, air)
		}
		buf = append(buf, d.lineEnd...)
	}
	return buf
}
