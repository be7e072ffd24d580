package cycle

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"rimelog/pipeline/register"
)

var (
	gaugeClass  = regexp.MustCompile(`(?i)en\s*837(?:-1)?\D+(\d+(?:[.,]\d+)?)`)
	platinum    = regexp.MustCompile(`(?i)iec\s*60751\W+(?:class\s*)?(aa|a|b)\b`)
	thermoClass = regexp.MustCompile(`(?i)type\s*([kt])\W+class\s*([12])`)
)

// atPipe is the temperature at which a class that grows with it is taken, °C.
const atPipe = 50.0

// classLimit is the limit of error of an instrument by the class of a standard that its
// row names, in the unit of a quantity; NaN where it names none. Sources: EN 837-1
// (percent of span); IEC 60751 AA, A, B: 0.10 + 0.0017 |t|, 0.15 + 0.002 |t| and
// 0.30 + 0.005 |t|; IEC 60584 types K and T, class 1 ±1.5 and ±0.5 K, class 2 ±2.5 and
// ±1.0 K; from memory.
func classLimit(q Quantity, i register.Instrument, factor float64) float64 {
	switch q {
	case SuctionPressure, DischargePressure, LiquidPressure:
		if m := gaugeClass.FindStringSubmatch(i.Class); m != nil {
			percent, err := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", "."), 64)
			if err == nil {
				return percent / 100 * (i.SpanHigh - i.SpanLow) * factor
			}
		}
		return math.NaN()
	}
	if quantityOf(q) != quantityOf(SuctionTemp) {
		return math.NaN()
	}
	if m := platinum.FindStringSubmatch(i.Class); m != nil {
		return map[string]float64{"AA": 0.10 + 0.0017*atPipe, "A": 0.15 + 0.002*atPipe, "B": 0.30 + 0.005*atPipe}[strings.ToUpper(m[1])]
	}
	if m := thermoClass.FindStringSubmatch(i.Class); m != nil {
		return map[string]float64{"K1": 1.5, "K2": 2.5, "T1": 0.5, "T2": 1.0}[strings.ToUpper(m[1])+m[2]]
	}
	return math.NaN()
}
