package register

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A Limit is how far a quantity may go at a machine, as its maker or owner says, for a
// time: a row of limits.csv.
type Limit struct {
	System   string // empty: every system of the kind
	Kind     Kind   // KindUnknown: any kind
	Name     LimitName
	Value    float64   // in the unit of the limit; NaN unknown
	From, To time.Time // first moment it holds, first moment it holds no longer, UTC; zero: open
	Source   string    // where it is from

	Line int // of limits.csv
}

// LimitName is what a limit is about.
type LimitName uint8

// The limits.
const (
	LimitUnknown      LimitName = iota
	LeastSuperheat              // K, of the suction gas at the compressor: with less, liquid may come
	LeastHotGas                 // K, of the discharge gas above the condensing temperature: with less, liquid comes
	MostDischargeTemp           // °C, of the discharge gas on the pipe
	MostPressureRatio           // absolute over absolute
	LeastSubcooling             // K, of the liquid behind the condenser
	MostValveOpening            // %, from which on the valve counts as at its stop
	MostStarts                  // of the compressor in an hour
	MostRoomTemp                // °C, of the room while the machine runs: the setpoint with its differential
)

// limitSpan is what the value of a limit may be, and its unit.
type limitSpan struct {
	lo, hi float64
	unit   string
}

// span is what a limit's value may be.
func (n LimitName) span() limitSpan {
	switch n {
	case LeastSuperheat, LeastHotGas, LeastSubcooling:
		return limitSpan{0, 60, "K"}
	case MostDischargeTemp:
		return limitSpan{40, 250, "°C"}
	case MostPressureRatio:
		return limitSpan{1, 50, ""}
	case MostValveOpening:
		return limitSpan{10, 100, "%"}
	case MostStarts:
		return limitSpan{1, 60, ""}
	}
	return limitSpan{-90, 90, "°C"}
}

// limitForm is limits.csv.
func limitForm() form[Limit] {
	return form[Limit]{
		name:   "limits.csv",
		doc:    "one line for each limit of your own; where there is none, generic ones hold",
		fresh:  func(line int) Limit { return Limit{Value: math.NaN(), Line: line} },
		line:   func(l *Limit) int { return l.Line },
		system: func(l *Limit) string { return l.System },
		columns: []column[Limit]{
			textColumn("system", "ID of the circuit, as in systems.csv; empty: every system", func(l *Limit) *string { return &l.System }),
			wordColumn("kind", "of system that it holds for; empty: every kind", kindWords, func(l *Limit) *Kind { return &l.Kind }),
			wordColumn("limit", "what is limited: superheat and hot gas above condensing in K, temperatures in °C, valve opening in %, starts in an hour", limitWords, func(l *Limit) *LimitName { return &l.Name }),
			numberColumn("value", "", "the limit", -1e6, 1e6, func(l *Limit) *float64 { return &l.Value }),
			dateColumn("valid_from", "first day this holds",
				func(l *Limit, at time.Time, _ bool) { l.From = at },
				func(l *Limit) string { return moments(l.From, !startsDay(l.From)) }),
			dateColumn("valid_to", "last day of this",
				func(l *Limit, at time.Time, hasTime bool) { l.To = pastEnd(at, hasTime) },
				func(l *Limit) string { return writeEnd(l.To) }),
			textColumn("source", "where it is from, such as the maker's sheet", func(l *Limit) *string { return &l.Source }),
		},
	}
}

// limits keeps the rows that limit something.
func (c *checker) limits(rows []Limit) {
	const file = "limits.csv"
	for _, l := range rows {
		if l.System != "" {
			if _, ok := c.known(file, l.Line, &l.System); !ok {
				continue
			}
		}
		if e, bad := c.limitProblem(l); bad {
			if !c.reported(file, l.Line, e.Column) {
				e.System, e.RowLost = l.System, true
				c.report(file, l.Line, e)
			}
			continue
		}
		c.register.ownLimits = append(c.register.ownLimits, l)
	}
	c.register.sortLimits()
}

func (c *checker) limitProblem(l Limit) (e RowError, bad bool) {
	span := l.Name.span()
	switch {
	case l.Name == LimitUnknown:
		e = RowError{Column: "limit", Problem: "empty", Remedy: "write one of " + strings.Join(limitWords[1:], ", ")}
	case math.IsNaN(l.Value):
		e = RowError{Column: "value", Problem: "empty", Remedy: "write the limit"}
	case l.Value < span.lo || l.Value > span.hi:
		f := outside(span.lo, span.hi, span.unit)
		e = RowError{Column: "value", Value: decimal(l.Value), Problem: fmt.Sprintf("%s, for %s", f.problem, l.Name), Remedy: "check the number and its unit"}
	case !l.From.IsZero() && !l.To.IsZero() && !l.From.Before(l.To):
		e = RowError{Column: "valid_to", Value: writeEnd(l.To), Problem: "before valid_from", Remedy: "check both dates"}
	default:
		return e, false
	}
	return e, true
}

func (r *Register) sortLimits() {
	form := limitForm()
	slices.SortFunc(r.ownLimits, func(a, b Limit) int {
		return cmp.Or(a.From.Compare(b.From), cmp.Compare(form.canonical(&a), form.canonical(&b)))
	})
}

// Limits returns the limits that the user gave for a system: its own last, before them
// those of its kind, first those of every system; among equals the latest last, so that
// of several that hold at a time the last counts.
func (r *Register) Limits(system string) []Limit {
	s, ok := r.System(system)
	if !ok {
		return nil
	}
	var common, kind, own []Limit
	for _, l := range r.ownLimits {
		switch {
		case l.System != "" && foldID(l.System) == foldID(s.ID):
			own = append(own, l)
		case l.System != "":
		case l.Kind == KindUnknown:
			common = append(common, l)
		case l.Kind == s.Kind:
			kind = append(kind, l)
		}
	}
	return slices.Concat(common, kind, own)
}

// Holds tells whether a limit holds at a time.
func (l Limit) Holds(at time.Time) bool {
	return (l.From.IsZero() || !at.Before(l.From)) && (l.To.IsZero() || at.Before(l.To))
}

// LimitRows is the canonical text of a system's limits.
func (r *Register) LimitRows(system string) string { return limitText(r.Limits(system)) }

func limitText(limits []Limit) string {
	var b strings.Builder
	form := limitForm()
	for _, l := range limits {
		b.WriteString(form.canonical(&l))
	}
	return b.String()
}
