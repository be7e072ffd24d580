package export

import (
	"math"
	"strconv"
	"strings"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A value reads row i of a column: nil for null, else a time.Time, a number, text or
// a bool.
type value func(i int) any

func valueOf(f *frame.Frame, c table.Column) value {
	valid := f.Valid(c.Name)
	get := getter(f, c)
	return func(i int) any {
		if !valid.At(i) {
			return nil
		}
		return get(i)
	}
}

func getter(f *frame.Frame, c table.Column) value {
	switch c.Kind {
	case table.Time:
		times := f.Times(c.Name)
		return func(i int) any { return time.UnixMicro(times[i]).UTC() }
	case table.Fixed32:
		v, _ := f.Fixed32(c.Name)
		return func(i int) any { return fixed{int64(v[i]), c.Digits} }
	case table.Fixed64:
		v, _ := f.Fixed64(c.Name)
		return func(i int) any { return fixed{v[i], c.Digits} }
	case table.Int:
		v, _ := f.Ints(c.Name)
		return func(i int) any { return v[i] }
	case table.Text:
		texts := f.Text(c.Name)
		return func(i int) any { return texts.At(i) }
	case table.Bit:
		bits := f.Bits(c.Name)
		return func(i int) any { return bits.At(i) }
	}
	v := f.Floats(nil, c.Name)
	return func(i int) any {
		if math.IsInf(v[i], 0) {
			return nil // no spreadsheet has it
		}
		return v[i]
	}
}

// A fixed is a decimal: a mantissa and its digits after the point.
type fixed struct {
	mantissa int64
	digits   int
}

// String writes the decimal exactly, without zeros at its end.
func (d fixed) String() string {
	sign, m := "", d.mantissa
	if m < 0 {
		sign, m = "-", -m
	}
	digits := strconv.FormatInt(m, 10)
	if pad := d.digits + 1 - len(digits); pad > 0 {
		digits = strings.Repeat("0", pad) + digits
	}
	whole, rest := digits[:len(digits)-d.digits], strings.TrimRight(digits[len(digits)-d.digits:], "0")
	if rest == "" {
		return sign + whole
	}
	return sign + whole + "." + rest
}

// safe is text that no spreadsheet takes for a formula, nor for the end of a row.
func safe(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == '\t' {
			return ' '
		}
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	if s != "" && strings.ContainsAny(s[:1], "=+-@") {
		return "'" + s
	}
	return s
}
