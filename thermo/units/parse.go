package units

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Parse reads a unit label as a logger prints it, with or without brackets, in
// any case and with the usual manglings of the degree sign. The error is an
// *UnknownError.
func Parse(label string) (Unit, error) {
	f := fold(label)
	if u, ok := bySpelling[f]; ok {
		return u, nil
	}
	if u, ok := markedPressure(f); ok {
		return u, nil
	}
	return Unit{}, &UnknownError{Label: label}
}

// ParseDifference reads the label of a temperature difference: K, and °C or °F
// where a logger prints them for one. The error is an *UnknownError.
func ParseDifference(label string) (Unit, error) {
	if u, ok := differenceBySpelling[fold(label)]; ok {
		return u, nil
	}
	return Unit{}, &UnknownError{Label: label}
}

// markedPressure reads a pressure unit that a mark of its reference follows.
func markedPressure(f string) (Unit, bool) {
	for _, m := range marks {
		base, ok := strings.CutSuffix(f, m.text)
		if !ok {
			continue
		}
		u, ok := bySpelling[strings.TrimRight(base, "_-,")]
		if ok && u.Quantity == Pressure {
			u.Reference = m.reference
			u.Label = markedLabel(u.Label, m.reference)
			return u, true
		}
	}
	return Unit{}, false
}

func markedLabel(label string, r Reference) string {
	switch {
	case label == "psi" && r == Gauge:
		return "psig"
	case label == "psi":
		return "psia"
	case r == Gauge:
		return label + "(g)"
	}
	return label + "(a)"
}

// degrees holds what the degree sign is written as, or becomes when its bytes
// are read in another encoding.
var degrees = strings.NewReplacer(
	"â„ƒ", "°c", "℃", "°c", "℉", "°f",
	"ï¿½", "°", "Â°", "°", "Âº", "°", "Ã‚Â°", "°", "ã‚â°", "°",
	"â°", "°", "âº", "°", "º", "°", "˚", "°", "ᵒ", "°", "\uFFFD", "°", "ø", "°", "¡", "°", "∞", "°",
)

// powers writes superscripts and look-alikes plainly.
var powers = strings.NewReplacer(
	"²", "2", "³", "3", "^2", "2", "^3", "3", "₂", "2", "⁻¹", "-1", "μ", "u", "µ", "u", "·", "*", "÷", "/",
)

// fold brings a label to the normal form the tables are written in.
func fold(label string) string {
	if folded, ok := foldASCII(label); ok {
		return folded
	}
	s := degrees.Replace(label)
	s = powers.Replace(strings.ToLower(s))
	s = degrees.Replace(s)
	var b strings.Builder
	for _, r := range s {
		if unicode.IsSpace(r) || strings.ContainsRune("()[]{}<>.\"'", r) {
			continue
		}
		b.WriteRune(r)
	}
	return strings.ReplaceAll(b.String(), "°deg", "°")
}

// foldASCII is fold for labels without other characters, as nearly all are.
func foldASCII(label string) (string, bool) {
	var room [64]byte
	b := room[:0]
	for i := range len(label) {
		switch c := label[i]; {
		case c >= utf8.RuneSelf:
			return "", false
		case c == ' ' || c >= '\t' && c <= '\r' || strings.IndexByte("()[]{}<>.\"'", c) >= 0:
		case c == '^' && i+1 < len(label) && (label[i+1] == '2' || label[i+1] == '3'):
		case c >= 'A' && c <= 'Z':
			b = append(b, c|0x20)
		default:
			b = append(b, c)
		}
	}
	return string(b), true
}
