package report

import (
	"cmp"
	"math"
	"slices"

	"rimelog/analysis/say"
)

// fleetLine is all judged systems on one wire, by how far they moved: what stands
// out of the fleet's noise is seen before a word is read.
type fleetLine struct {
	Width, Height float64
	Bars          []lineBar
	Label         string
	Scale         string
}

// A lineBar is one system: where it moved, with its interval.
type lineBar struct {
	X, Tick, Left, Right float64
	Top, Range           float64 // of the interval
	Class, Name          string
	size                 float64
}

const (
	lineHeight = 132.0
	lineStep   = 22.0
	lineWidest = 560.0
)

// drawLine returns nil where there are too few systems to compare.
func drawLine(l say.Locale, rows []row, moves []move, scale float64) *fleetLine {
	line := &fleetLine{Height: lineHeight, Scale: l.Figure(say.Difference, scale, 0)}
	y := func(v float64) float64 {
		return math.Round(10*(lineHeight/2-max(-1, min(1, v/scale))*(lineHeight/2-4))) / 10
	}
	for i, m := range moves {
		if math.IsNaN(m.size) {
			continue
		}
		b := lineBar{Tick: y(m.size), Top: y(m.hi), Range: max(2, y(m.lo)-y(m.hi)), Class: "noise", size: m.size,
			Name: rows[i].Title + ": " + rows[i].Size}
		if m.open {
			b.Class = "open"
		}
		line.Bars = append(line.Bars, b)
	}
	if len(line.Bars) < 4 {
		return nil
	}
	open := line.place()
	line.Label = l.Text("%s by how far each moved from its own reference; %s of them with an open finding.", l.Count(len(line.Bars), "judged system"), l.Thousands(int64(open)))
	return line
}

// place puts the bars side by side, the lowest first, and counts those with an open finding.
func (l *fleetLine) place() (open int) {
	slices.SortStableFunc(l.Bars, func(a, b lineBar) int { return cmp.Compare(a.size, b.size) })
	n := float64(len(l.Bars))
	step := min(lineStep, lineWidest/n)
	l.Width = math.Ceil(step * n)
	for i := range l.Bars {
		b := &l.Bars[i]
		b.X = math.Round(100*step*(float64(i)+0.5)) / 100
		b.Left, b.Right = b.X-0.3*step, b.X+0.3*step
		if b.Class == "open" {
			open++
		}
	}
	return open
}

// A move is how far a system's leading feature moved, with its interval.
type move struct {
	size, lo, hi float64
	open         bool
}

func (s System) move() move {
	for _, f := range s.open() {
		if f.Observed == "" && measured(f.Feature).of == say.Difference {
			return move{f.Size, f.SizeLo, f.SizeHi, true}
		}
	}
	if f, ok := s.leading(); ok && s.standing() != notJudged {
		t := s.latest()[f.column]
		return move{t.Change, t.ChangeLo, t.ChangeHi, false}
	}
	return move{size: math.NaN()}
}
