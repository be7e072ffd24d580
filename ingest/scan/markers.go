package scan

import (
	"bytes"
	"strings"
)

// missing tells why a cell that should hold a number holds none: the words that
// loggers print, with what they mean. The words are common practice, no source.
var missing = map[string]string{
	"": "empty", "nan": "missing", "na": "missing", "n/a": "missing", "n.a.": "missing", "#n/a": "missing", "#na": "missing",
	"#name?": "missing", "#value!": "missing", "#div/0!": "missing", "#ref!": "missing", "#num!": "missing", "#wert!": "missing", "#bezug!": "missing", "#zahl!": "missing",
	"1.#qnan": "missing", "-1.#ind": "missing", "1.#inf": "over range", "-1.#inf": "under range", "no data": "missing", "overflow": "over range", "underflow": "under range", "null": "missing", "none": "missing", "nil": "missing",
	"-": "missing", "--": "missing", "---": "missing", "----": "missing", "-----": "missing", ".": "missing", "*": "missing",
	"**": "missing", "***": "missing", "****": "missing", "?": "missing", "???": "missing", "–": "missing", "—": "missing",
	"ol": "over range", "ofl": "over range", "over": "over range", "overload": "over range", "overrange": "over range",
	"hi": "over range", "inf": "over range", "+inf": "over range", "∞": "over range", "high": "over range", "+ol": "over range",
	"ufl": "under range", "under": "under range", "underrange": "under range", "lo": "under range", "-inf": "under range", "low": "under range", "-ol": "under range",
	"err": "sensor error", "error": "sensor error", "fault": "sensor error", "fail": "sensor error", "fehler": "sensor error",
	"erreur": "sensor error", "invalid": "sensor error", "bad": "sensor error",
	"open": "open sensor", "offen": "open sensor", "disconnected": "open sensor", "nc": "open sensor", "burnout": "open sensor",
	"short": "shorted sensor",
}

// longestMarker is how long a marker is at most, in bytes.
const longestMarker = 16

// Marker tells whether a cell is a missing marker, and what it means. A number
// behind < or > is a limit, not a value.
func Marker(cell []byte) (reason string, ok bool) {
	if len(cell) == 0 {
		return "empty", true
	}
	if len(cell) > longestMarker {
		return "", false
	}
	if c := cell[0]; c == '<' || c == '>' {
		_, _, _, ok := Number(bytes.TrimLeft(cell[1:], "= "), Marks{Decimal: '.'})
		if !ok {
			_, _, _, ok = Number(bytes.TrimLeft(cell[1:], "= "), Marks{Decimal: ','})
		}
		if c == '<' {
			return "under range", ok
		}
		return "over range", ok
	}
	reason, ok = missing[strings.ToLower(string(cell))]
	return reason, ok
}

// sentinels are numbers that loggers print in the place of a value, as printed
// without the decimal mark's trailing zeros, and what they mean. They count only
// where the quantity cannot have the value. Common practice, no source.
var sentinels = map[Decimal]string{
	{-9999, 0}: "missing", {-9999, 1}: "missing", {-9999, 2}: "missing", {-99999, 0}: "missing", {-999, 0}: "missing", {-9999, 1}: "missing", {9999, 0}: "over range", {99999, 0}: "over range",
	{9999, 1}: "over range", {999, 0}: "over range", {99999, 1}: "over range", {99999, 2}: "over range",
	{32767, 0}: "over range", {-32768, 0}: "under range", {32767, 1}: "over range", {-32768, 1}: "under range",
	{65535, 0}: "missing", {65535, 1}: "missing", {65535, 2}: "missing", {32767, 2}: "over range", {-32768, 2}: "under range",
	{-127, 0}: "open sensor", {-200, 0}: "open sensor", {-27315, 2}: "open sensor", {-273, 0}: "open sensor",
}

// Sentinel looks a number up, without trailing zeros.
func Sentinel(d Decimal) (reason string, ok bool) {
	for d.Decimals > 0 && d.Mantissa%10 == 0 {
		d.Mantissa, d.Decimals = d.Mantissa/10, d.Decimals-1
	}
	reason, ok = sentinels[d]
	return reason, ok
}

// Always tells whether a sentinel is one whatever its quantity.
func Always(d Decimal) bool {
	return d.Decimals == 0 && (d.Mantissa == -9999 || d.Mantissa == -99999)
}

// states are the words for yes and no, folded.
var states = map[string]bool{
	"1": true, "on": true, "true": true, "yes": true, "run": true, "running": true, "ein": true, "an": true, "ja": true, "marche": true, "oui": true,
	"vrai": true, "si": true, "encendido": true, "acceso": true, "aan": true, "ligado": true, "sim": true, "pa": true, "till": true, "x": true,
	"0": false, "off": false, "false": false, "no": false, "stop": false, "stopped": false, "aus": false, "nein": false, "arret": false, "non": false,
	"faux": false, "apagado": false, "spento": false, "uit": false, "nee": false, "desligado": false, "nao": false, "av": false, "fran": false, "nej": false,
}

// State is what a cell says that holds a word for yes or no.
func State(cell []byte) (on, known bool) {
	on, known = states[Fold(string(cell))]
	return on, known
}
