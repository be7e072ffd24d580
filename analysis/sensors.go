package analysis

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A sensor is an instrument that measured a quantity, for a time, in a month's
// uploads.
type sensor struct {
	quantity   cycle.Quantity
	instrument register.Instrument
	from, to   time.Time // zero: open
}

// sensors lists the instruments that the register names for the uploads behind a
// month of a system.
func (s *Stage) sensors(ctx context.Context, id, month string, parts []dataset.Part) ([]sensor, error) {
	var out []sensor
	for _, p := range parts {
		rows := named(s.Register.Channels(id, p.Path, time.Time{}))
		if len(rows) == 0 {
			continue
		}
		e, ok, err := s.Dataset.Entry(ctx, p.Upload, p.Reading)
		if err != nil {
			return nil, err
		}
		if !ok || !covers(e, id, month) {
			continue
		}
		for _, row := range rows {
			if q, known := quantity(row.Channel); known {
				i, ok := s.Register.Instrument(row.Instrument)
				if !ok {
					i = register.NewInstrument(row.Instrument)
				}
				out = append(out, sensor{q, i, row.From, row.To})
			}
		}
	}
	slices.SortFunc(out, func(a, b sensor) int { return strings.Compare(a.key(), b.key()) })
	return slices.CompactFunc(out, func(a, b sensor) bool { return a.key() == b.key() }), nil
}

func named(rows []register.Channel) []register.Channel {
	return slices.DeleteFunc(slices.Clone(rows), func(c register.Channel) bool { return c.Instrument == "" || c.Index > 1 })
}

func covers(e dataset.Entry, id, month string) bool {
	return slices.ContainsFunc(e.Parts, func(p dataset.PartFile) bool {
		return p.System == id && p.Table == table.Samples().Name && slices.Contains(p.Months, month)
	})
}

// quantity is the measured quantity of a channel's name, without its unit.
func quantity(channel string) (cycle.Quantity, bool) {
	for q := cycle.Quantity(0); q.Column() != ""; q++ {
		if strings.HasPrefix(q.Column(), channel+"_") {
			return q, true
		}
	}
	return 0, false
}

// key is the sensor in canonical text, for fingerprints.
func (s sensor) key() string {
	i := s.instrument
	return fmt.Sprintf("%v %q %v %v %q %v %v %v %v", s.quantity, i.Serial, i.Limit, i.LimitPercent, i.Unit, i.SpanLow, i.SpanHigh, s.from.UTC(), s.to.UTC())
}

// instruments is what is known of the sensors behind a time. Where two may have
// measured a quantity the less exact one counts.
func instruments(generic cycle.Instruments, sensors []sensor, at time.Time) cycle.Instruments {
	in := generic
	taken := map[cycle.Quantity]float64{}
	var serials []string
	for _, s := range sensors {
		if !s.from.IsZero() && at.Before(s.from) || !s.to.IsZero() && !at.Before(s.to) {
			continue
		}
		serials = append(serials, s.instrument.Serial)
		before, twice := taken[s.quantity]
		if in.Name(s.quantity, s.instrument) {
			if twice {
				in.Limit[s.quantity] = max(before, in.Limit[s.quantity])
			}
			taken[s.quantity] = in.Limit[s.quantity]
		}
	}
	slices.Sort(serials)
	in.Serials = slices.Compact(serials)
	return in
}
