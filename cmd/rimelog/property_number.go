package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// readNumber reads a decimal number with the given decimal mark, '.' or ','.
// Words such as "NaN" are no numbers. The error completes a sentence that
// begins with the text read.
func readNumber(text string, mark byte) (float64, error) {
	text = strings.TrimSpace(text)
	if rest, ok := strings.CutPrefix(text, "\u2212"); ok { // the typographic minus
		text = "-" + rest
	}
	other := byte(',' + '.' - mark)
	switch {
	case text == "":
		return math.NaN(), errors.New("is empty")
	case strings.IndexByte(text, other) >= 0 && isDecimal(strings.ReplaceAll(text, ",", ".")):
		return math.NaN(), fmt.Errorf("has a %q where the decimal mark is %q", other, mark)
	case mark == ',':
		text = strings.Replace(text, ",", ".", 1)
	}
	if !isDecimal(text) {
		return math.NaN(), errors.New("is not a number")
	}
	v, err := strconv.ParseFloat(text, 64)
	switch {
	case errors.Is(err, strconv.ErrRange):
		return math.NaN(), errors.New("is too large")
	case err != nil:
		return math.NaN(), errors.New("is not a number")
	}
	return v, nil
}

// isDecimal reports whether text has only what decimal numbers are made of.
func isDecimal(text string) bool {
	return strings.Trim(text, "0123456789+-.eE") == "" && strings.ContainsAny(text, "0123456789")
}

// resultDigits is how many significant digits a result has in CSV and JSON: far
// below the accuracy of any equation.
const resultDigits = 9

// significant takes from a value what is beyond its significant digits.
func significant(v float64) float64 {
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', resultDigits, 64), 64)
	if err != nil {
		return v
	}
	return short
}

// appendNumber prints a result with the given decimal mark.
func appendNumber(dst []byte, v float64, mark byte) []byte {
	from := len(dst)
	dst = strconv.AppendFloat(dst, v, 'g', resultDigits, 64)
	if mark == ',' {
		for i := from; i < len(dst); i++ {
			if dst[i] == '.' {
				dst[i] = ','
			}
		}
	}
	return dst
}

// digits prints a value with n significant digits and no exponent.
func digits(v float64, n int) string {
	size := math.Floor(math.Log10(math.Abs(v)))
	switch {
	case math.IsNaN(v), math.IsInf(v, 0):
		return fmt.Sprint(v)
	case size < -7: // zero, or nothing beside what it is compared with
		return "0"
	}
	return strconv.FormatFloat(v, 'f', max(0, n-1-int(size)), 64)
}
