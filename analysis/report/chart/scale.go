package chart

import "math"

// OneScale gives each course the axis that it has where readers ask for one scale: the
// units of the widest of them, as many of them high, about its own middle. So what moves
// further looks as if it did.
func OneScale(courses []Course) {
	var span, step float64
	for _, c := range courses {
		if lo, hi, s := c.extent().round(); hi-lo > span {
			span, step = hi-lo, s
		}
	}
	for i, c := range courses {
		lo, hi, _ := c.extent().round()
		lo = math.Floor((lo+hi-span)/2/step) * step
		courses[i].scale = raw{"min": num(lo), "max": num(lo + span + step), "interval": num(step)}
	}
}
