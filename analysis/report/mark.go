package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// The small figures are SVG made here: they need no script, and take their
// colours from the page's style by class. They hold numbers only, so that no name
// can get into the markup.

const (
	wireWidth, wireHeight   = 180.0, 22.0
	sparkWidth, sparkHeight = 132.0, 30.0
)

// wire draws a change as a bar from its reference, with its interval; scale is
// what half the width stands for, in K. What reaches further ends in an arrow.
func wire(size, lo, hi, scale float64) template.HTML {
	if math.IsNaN(size) {
		return ""
	}
	at := func(v float64) float64 {
		return math.Round(10*(wireWidth/2+max(-1, min(1, v/scale))*(wireWidth/2-3))) / 10
	}
	if math.IsNaN(lo) || math.IsNaN(hi) {
		lo, hi = size, size
	}
	class := "wire"
	if lo <= 0 && hi >= 0 {
		class += " noise"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="%s" viewBox="0 0 %g %g" width="%g" height="%g" aria-hidden="true" focusable="false">`, class, wireWidth, wireHeight, wireWidth, wireHeight)
	fmt.Fprintf(&b, `<path class="stem" d="M%g 11H%g"/>`, wireWidth/2, at(size))
	fmt.Fprintf(&b, `<rect class="range" x="%g" y="6" width="%.1f" height="10" rx="2"/>`, at(lo), max(2, at(hi)-at(lo)))
	fmt.Fprintf(&b, `<path class="tick" d="M%g 3V19"/>`, at(size))
	for _, far := range []float64{lo, hi} {
		if math.Abs(far) > scale {
			x, d := at(far), math.Copysign(5, far)
			fmt.Fprintf(&b, `<path class="beyond" d="M%g 5L%g 11L%g 17"/>`, x-d, x, x-d)
		}
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// wireScale is the scale of all wires of a page, in K: the largest change shown, rounded
// up to a whole unit of the reader's, at most 12 K so that one odd system does not flatten the rest.
func wireScale(l say.Locale, values ...float64) float64 {
	per := l.PerUnit(say.Difference)
	scale := 1.0
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			scale = max(scale, math.Ceil(math.Abs(v)*per))
		}
	}
	return min(scale, math.Floor(12*per)) / per
}

// spark draws a feature over the visits: a line through judged visits, broken
// where the scale of time is; hollow dots for spots; the latest one filled. Its own range
// fills it; where readers ask for one scale, the style makes it as high as its part of
// span (K; 0 for its own range) says. Dots are strokes without a length, so that no scale
// bends them.
func spark(visits []table.Visit, f feature, t table.Trend, span float64) template.HTML {
	points := sparkPoints(visits, f, t)
	if len(points) == 0 {
		return ""
	}
	x, y := sparkScale(points)
	var line, spots, last strings.Builder
	pen := "M"
	for i, p := range points {
		if p.spot {
			fmt.Fprintf(&spots, "M%.1f %.1fh0", x(p), y(p))
			continue
		}
		fmt.Fprintf(&line, "%s%.1f %.1f", pen, x(p), y(p))
		pen = "L"
		if i == len(points)-1 || len(points) == 1 {
			fmt.Fprintf(&last, "M%.1f %.1fh0", x(p), y(p))
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="spark" viewBox="0 0 %g %g" width="%g" height="%g" aria-hidden="true" focusable="false"`, sparkWidth, sparkHeight, sparkWidth, sparkHeight)
	if lo, hi := sparkRange(points); span > hi-lo {
		fmt.Fprintf(&b, ` style="--part:%.2f"`, (hi-lo)/span)
	}
	b.WriteString(">")
	for _, shape := range []struct{ class, d string }{{"", line.String()}, {"spot", spots.String()}, {"hole", spots.String()}, {"last", last.String()}} {
		if shape.d != "" {
			fmt.Fprintf(&b, `<path class="%s" d="%s"/>`, shape.class, shape.d)
		}
	}
	b.WriteString("</svg>")
	return template.HTML(strings.ReplaceAll(b.String(), ` class=""`, ""))
}

// sparkSpan is the widest range of the systems' small figures, K.
func sparkSpan(systems []System) (widest float64) {
	for _, s := range systems {
		if f, ok := s.leading(); ok {
			if points := sparkPoints(s.asJudged(), f, s.latest()[f.column]); len(points) > 0 {
				lo, hi := sparkRange(points)
				widest = max(widest, hi-lo)
			}
		}
	}
	return widest
}

type sparkPoint struct {
	time, value float64
	spot        bool
}

// sparkPoints are the visits' values at equal temperature of the medium where that is known.
func sparkPoints(visits []table.Visit, f feature, t table.Trend) (out []sparkPoint) {
	for i := range visits {
		v := &visits[i]
		value, _ := f.value(v)
		if like := likeValue(value, v.OutdoorTemp, t); !math.IsNaN(like) {
			value = like
		}
		if !math.IsNaN(value) && (v.Use == table.UseTrend || v.Use == table.UseSpot) {
			out = append(out, sparkPoint{float64(v.Start.Unix()), value, v.Use == table.UseSpot})
		}
	}
	return thinned(out)
}

// sparkMost is how many points a small figure has at most.
const sparkMost = 44

// thinned joins points within an even stretch of time into their means where there
// are too many.
func thinned(points []sparkPoint) []sparkPoint {
	if len(points) <= sparkMost {
		return points
	}
	first := points[0].time
	width := (points[len(points)-1].time - first) / sparkMost
	bin := func(p sparkPoint) float64 { return math.Floor((p.time - first) / width) }
	var out []sparkPoint
	for i := 0; i < len(points); {
		j := i
		for j < len(points) && bin(points[j]) == bin(points[i]) {
			j++
		}
		out = append(out, meanOf(points[i:j]))
		i = j
	}
	return out
}

// meanOf is a spot only where all of its points are.
func meanOf(points []sparkPoint) sparkPoint {
	mean, n := sparkPoint{spot: true}, float64(len(points))
	for _, p := range points {
		mean.time += p.time / n
		mean.value += p.value / n
		mean.spot = mean.spot && p.spot
	}
	return mean
}

func sparkScale(points []sparkPoint) (x, y func(sparkPoint) float64) {
	first, last := points[0].time, points[len(points)-1].time
	lo, hi := sparkRange(points)
	x = func(p sparkPoint) float64 {
		if last == first {
			return sparkWidth / 2
		}
		return 4 + (p.time-first)/(last-first)*(sparkWidth-8)
	}
	y = func(p sparkPoint) float64 { return sparkHeight - 4 - (p.value-lo)/(hi-lo)*(sparkHeight-8) }
	return x, y
}

// sparkRange is the range that fills a small figure: at least 4 K, for scatter of a few
// tenths should look like scatter.
func sparkRange(points []sparkPoint) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		lo, hi = min(lo, p.value), max(hi, p.value)
	}
	if spare := 4 - (hi - lo); spare > 0 {
		lo, hi = lo-spare/2, hi+spare/2
	}
	return lo, hi
}

// likeValue is a value at the reference temperature of the trend's medium; NaN
// where one of the figures for it is missing.
func likeValue(value, outdoor float64, t table.Trend) float64 {
	if t.Feature == "" {
		return math.NaN()
	}
	return value - t.PerOutdoor*(outdoor-t.OutdoorRef)
}
