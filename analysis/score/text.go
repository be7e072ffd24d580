package score

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"text/tabwriter"
)

// Print writes the score as a table for people.
func (s Score) Print(w io.Writer) error {
	p := printer{tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)}
	p.leaks(s)
	p.reserves(s)
	p.harmless(s)
	p.faults(s)
	p.cause(s.Cause)
	p.rest(s)
	p.energy(s.Energy)
	p.classes(s.ByClass)
	return p.out.Flush()
}

type printer struct{ out *tabwriter.Writer }

func (p printer) row(cells ...string) {
	for i, c := range cells {
		if i > 0 {
			fmt.Fprint(p.out, "\t")
		}
		fmt.Fprint(p.out, c)
	}
	fmt.Fprintln(p.out)
}

// leaks puts the analysis and its rivals side by side.
func (p printer) leaks(s Score) {
	p.row("slow loss of charge (exact intervals)", "found by 5 %", "8 %", "10 %", "15 %", "25 %", "false/100 a", "lost %, p90", "days, p90", "ROC area")
	p.detection("rimelog", s.Leak.Detection)
	p.oracle(s.Leak.Oracle)
	for _, name := range slices.Sorted(maps.Keys(s.Rivals)) {
		p.detection(name, s.Rivals[name].Detection)
	}
	p.row()
	h := s.Leak.Healthy
	p.row("false leak alarms in 100 years without a loss of 2 %", h.text())
	p.row("years with such a loss", s.Leak.LeakingYears.text(0))
	p.row()
}

// oracle is what could be found at best, at the same rate of false alarms.
func (p printer) oracle(by map[string]Detectable) {
	cells := []string{"  an oracle at that rate"}
	for _, level := range levels {
		cells = append(cells, by[strconv.Itoa(level)].text())
	}
	p.row(cells...)
}

func (p printer) detection(name string, d Detection) {
	cells := []string{name}
	for _, level := range levels {
		cells = append(cells, d.Sensitivity[strconv.Itoa(level)].exact())
	}
	p.row(append(cells, d.FalseAlarms.text(), d.LostPct.text(1), d.Days.text(0), d.ROCArea.text(2))...)
}

// harmless is what was taken for a leak without being one.
func (p printer) harmless(s Score) {
	p.row("no leak, but", "a false leak alarm followed")
	for _, name := range slices.Sorted(maps.Keys(s.Harmless)) {
		p.row("  "+name, s.Harmless[name].fine())
	}
	p.row()
}

// reserves are those of machines with a receiver.
func (p printer) reserves(s Score) {
	p.row("half of a receiver's reserve lost", "found by then")
	for _, name := range slices.Sorted(maps.Keys(s.Leak.HalfReserve)) {
		p.row("  "+name, s.Leak.HalfReserve[name].text())
	}
	p.row()
}

func (p printer) faults(s Score) {
	p.row("other faults", "found", "found in time", "by", "false/100 a", "days, p90")
	for _, name := range slices.Sorted(maps.Keys(s.Faults)) {
		f := s.Faults[name]
		inTime := "-"
		if f.FoundInTime != nil {
			inTime = f.FoundInTime.text()
		}
		p.row(name, f.Found.text(), inTime, f.Threshold, f.FalseAlarms.text(), f.Days.text(0))
	}
	p.row()
	p.seen(s.Faults)
}

// seen puts what was found of coils in time beside what could be.
func (p printer) seen(faults map[string]FaultScore) {
	p.row("coils in time", "found", "an oracle that knows the machine", "one that learns it", "(at the same rate of false alarms)")
	for _, name := range slices.Sorted(maps.Keys(faults)) {
		f := faults[name]
		if f.Oracle == nil {
			continue
		}
		p.row(name, f.FoundInTime.text(), f.Oracle.Knowing.text(), f.Oracle.Learning.text())
		for _, stays := range slices.Sorted(maps.Keys(f.Oracle.ByStays)) {
			x := f.Oracle.ByStays[stays]
			p.row("  stays that showed half of it by then: "+stays, x.Found.text(), x.Knowing.text(), x.Learning.text())
		}
	}
	p.row()
}

func (d Detectable) text() string { return fmt.Sprintf("%s of %d", (100 * d.Share).text(0), d.N) }

func (p printer) cause(c Cause) {
	p.row("cause named", "right", "wrong", "unclear", "Brier")
	p.row("", c.Right.text(), c.Wrong.text(), c.Unclear.text(), c.Brier.text(3))
	p.row("  two faults at once", "both named first "+c.Two.BothNamed.text(), "one wrong cause alone "+c.Two.Wrong.text())
	for _, t := range c.Tenths {
		p.row("  probability "+t.From.text(1)+" to "+(t.From+0.1).text(1), "mean "+t.Mean.text(2), "right "+t.Right.text())
	}
	for _, is := range slices.Sorted(maps.Keys(c.Matrix)) {
		cells := []string{"  " + is}
		for _, said := range slices.Sorted(maps.Keys(c.Matrix[is])) {
			cells = append(cells, fmt.Sprintf("%s: %d", said, c.Matrix[is][said]))
		}
		p.row(cells...)
	}
	p.row()
}

func (p printer) rest(s Score) {
	p.row("windows", "precision "+s.Windows.Precision.text(), "recall "+s.Windows.Recall.text(), "bias "+s.Windows.BiasK.text(2)+" K")
	p.row("coverage of 95 %", "superheat "+s.Coverage.Superheat.text(), "subcooling "+s.Coverage.Subcooling.text(), "width "+s.Coverage.WidthRatio.text(2)+" of the oracle's", strconv.Itoa(s.Coverage.Sets)+" sets of instruments")
	p.row("rate of loss, 90 %", "coverage "+s.Leak.RateInterval.text(), "relative width "+s.Leak.RateInterval.RelativeWidth.text(2))
	for _, name := range slices.Sorted(maps.Keys(s.Leak.BriskRates)) {
		r := s.Leak.BriskRates[name]
		p.row("  10 %/a or more, 12 visits, "+name, "coverage (exact interval) "+r.exact(), "relative width "+r.RelativeWidth.text(2), strconv.Itoa(r.Silent)+" without an interval")
	}
	p.row("charge lost, 90 %", "coverage "+s.Leak.LostInterval.text(), "relative width "+s.Leak.LostInterval.RelativeWidth.text(2))
	if d := s.DataErrors; d != nil {
		p.row("data errors", fmt.Sprintf("found %d", d.Found), fmt.Sprintf("missed %d", d.Missed), fmt.Sprintf("invented %d", d.Invented), "flags on clean logs "+d.FalseFlags.text(), "found of what nothing shows "+d.Unseen.text())
		for _, rule := range slices.SortedFunc(maps.Keys(d.ByRule), byNumber) {
			e := d.ByRule[rule]
			p.row("  "+rule, fmt.Sprintf("%d", e.Found), fmt.Sprintf("%d", e.Missed), fmt.Sprintf("%d", e.Invented))
		}
		for _, class := range slices.Sorted(maps.Keys(d.ByClass)) {
			c := d.ByClass[class]
			p.row("  class "+class, "found "+c.Found.text(), "from the third log on "+c.FromThird.text())
		}
	}
	p.row()
}

// energy puts the comparison of energy by class below each other.
func (p printer) energy(e Energy) {
	if e.SeasonalCOP.N == 0 {
		return
	}
	p.row("energy", "seasonal COP covered", "by systems", "error %, p90", "change within 3 %", "10 % apart told", "false difference", "savings covered", "width/oracle", "over oracle and told where they hold 90 %")
	line := func(name string, x EnergyFigures) {
		p.row(name, x.SeasonalCOP.text(), x.SystemsCOP.text(), x.SeasonalError.text(1), x.ChangeWithin.text(), x.ToldApart.text(), x.FalseApart.text(), x.SavingCovered.text(), x.SavingRelative.text(2), x.SavingAlike.text(2)+" and "+x.BoundAlike.text(2))
	}
	line("all", e.EnergyFigures)
	for _, class := range slices.Sorted(maps.Keys(e.ByClass)) {
		line(class, e.ByClass[class])
	}
	p.row()
}

// byNumber puts D9 before D10.
func byNumber(a, b string) int {
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	return slices.Compare([]byte(a), []byte(b))
}

func (p printer) classes(classes map[string]Class) {
	p.row("part of the fleet", "systems", "found by 5 %", "8 %", "15 %", "false/100 a", "ROC area", "superheat covered", "subcooling covered")
	for _, name := range slices.Sorted(maps.Keys(classes)) {
		c := classes[name]
		found := c.Leak.Sensitivity
		p.row(name, strconv.Itoa(c.Systems), found["5"].text(), found["8"].text(), found["15"].text(), c.Leak.FalseAlarms.text(), c.Leak.ROCArea.text(2),
			c.Coverage.Superheat.text(), c.Coverage.Subcooling.text())
	}
}

func (n Number) text(digits int) string {
	if math.IsNaN(float64(n)) {
		return "-"
	}
	return strconv.FormatFloat(float64(n), 'f', digits, 64)
}

// text is a share in percent with its interval and number: "40 (17-69) of 10".
func (s Share) text() string {
	if s.N == 0 {
		return "- of 0"
	}
	return fmt.Sprintf("%s (%s-%s) of %d", (100 * s.Share).text(0), (100 * s.Low).text(0), (100 * s.High).text(0), s.N)
}

// exact is text with the exact interval.
func (s Share) exact() string {
	s.Low, s.High = s.ExactLow, s.ExactHigh
	return s.text()
}

// fine is text for small shares: with a decimal.
func (s Share) fine() string {
	if s.N == 0 {
		return "- of 0"
	}
	return fmt.Sprintf("%s (%s-%s) of %d", (100 * s.Share).text(1), (100 * s.Low).text(1), (100 * s.High).text(1), s.N)
}

// text is a rate with its interval, the exact one, and what it is of: "1.1
// (0.3-3.9; exact 0.1-4.0), 2 in 183 a".
func (r Rate) text() string {
	if math.IsNaN(float64(r.Rate)) {
		return "-"
	}
	return fmt.Sprintf("%s (%s-%s; exact %s-%s), %d in %s a", r.Rate.text(1), r.Low.text(1), r.High.text(1),
		r.ExactLow.text(1), r.ExactHigh.text(1), r.Events, r.SystemYears.text(0))
}

// text is the median and the upper end.
func (s Spread) text(digits int) string {
	return s.Median.text(digits) + ", " + s.P90.text(digits)
}

// exact is the coverage with the exact interval.
func (r Interval) exact() string {
	if r.Coverage == nil {
		return "-"
	}
	return r.Coverage.exact()
}

func (r Interval) text() string {
	if r.Coverage == nil {
		return "-"
	}
	return r.Coverage.text()
}
