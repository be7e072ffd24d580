package trust

import (
	"fmt"
	"math"
	"regexp"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// A Logged is a column in which a logger wrote superheat or subcooling that it had worked
// out by itself, as found.
type Logged struct {
	Header string
	Of     cycle.Quantity // Superheat or Subcooling
	Time   []int64        // microseconds since 1970, rising
	Value  []float64
}

// Words for what a logger works out by itself. From memory.
var (
	superheatWord  = regexp.MustCompile(`(?i)super\W?heat|überhitzung|ueberhitzung|surchauffe|surriscaldamento|recalentamiento|oververhitting|\bSH\b`)
	subcoolingWord = regexp.MustCompile(`(?i)sub\W?cool|unterkühlung|unterkuehlung|sous\W?refroidissement|sottoraffreddamento|subenfriamiento|onderkoeling|\bSC\b`)
)

// DifferenceOf is the temperature difference that a header names, if it names one.
func DifferenceOf(header string) (cycle.Quantity, bool) {
	switch {
	case superheatWord.MatchString(header):
		return cycle.Superheat, true
	case subcoolingWord.MatchString(header):
		return cycle.Subcooling, true
	}
	return 0, false
}

// How a logged difference may follow from the true one in K: right in K or °F, or
// converted as if it were a temperature, by which 32 °F are added or taken off.
var conversions = []struct {
	factor, offset float64
	wrong          string // empty: right
}{
	{1, 0, ""},
	{1.8, 0, ""},
	{1.8, 32, "32 above 1.8 times the one worked out: converted to °F as if it were a temperature"},
	{1, -160 / 9.0, "17.8 below the one worked out: converted to °C as if it were a temperature"},
	{1, 32, "32 above the one worked out"},
}

// mostBeside is how far the logged difference may be off the conversion that explains it,
// and leastBeyond how much nearer it must be to a wrong one than to a right one, in its
// own unit: pressures and probes of the log are the same, only its curve may differ.
const (
	mostBeside  = 3.0
	leastBeyond = 5.0
)

// converted checks differences that the logger worked out by itself.
func (l *look) converted() {
	for _, d := range l.Logged {
		off := make([]float64, len(conversions))
		for i, c := range conversions {
			off[i] = l.beside(d, c.factor, c.offset)
		}
		right := math.Min(off[0], off[1])
		best := 2 + slices.Index(off[2:], slices.Min(off[2:]))
		if !(off[best] < mostBeside && right > off[best]+leastBeyond) {
			continue
		}
		l.doubt(Doubt{
			Rule:     "D6",
			Evidence: fmt.Sprintf("the log's own %q is %s", d.Header, conversions[best].wrong),
			Remedy:   "nothing rests on that column: superheat and subcooling are worked out from pressures and temperatures; a difference is converted by the factor alone, so set the logger to K",
		})
		return
	}
}

// beside is how far a logged difference is off a conversion of the one worked out, in the
// median over the settled running machine; NaN where they have no time in common.
func (l *look) beside(d Logged, factor, offset float64) float64 {
	var x []float64
	for _, i := range l.rows {
		if k, ok := slices.BinarySearch(d.Time, l.Columns.Time[i]); ok {
			x = append(x, d.Value[k]-factor*l.Columns.At(d.Of, i)-offset)
		}
	}
	m, err := robust.Median(x)
	if err != nil {
		return math.NaN()
	}
	return math.Abs(m)
}
