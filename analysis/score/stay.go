package score

import (
	"cmp"
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// leastStay is how long a system must have run as at rest in a usable stay.
const leastStay = 10 * time.Minute

// A stay is what a usable log shows of one day and one course.
type stay struct {
	from time.Time     // the first moment at rest
	rest time.Duration // how long at rest, all told
}

// needed are the channels without which charge cannot be judged.
var needed = []string{"suction_pressure", "suction_temp", "discharge_pressure", "liquid_temp"}

// usable tells whether a log has the channels it takes, unspoilt.
func usable(f truth.File) bool {
	if f.Trap != "" {
		return false
	}
	for _, channel := range needed {
		if !slices.ContainsFunc(f.Columns, func(c truth.Column) bool { return c.Channel == channel }) {
			return false
		}
	}
	return !slices.ContainsFunc(f.Mistakes, func(m truth.Mistake) bool { return spoils(m, needed) })
}

// twice is the mistake of uploading a file again.
const twice = "D16"

// spoils tells whether a mistake is about one of the channels, or all of the file.
func spoils(m truth.Mistake, channels []string) bool {
	if m.Harmless {
		return false
	}
	return len(m.Channels) == 0 || slices.ContainsFunc(m.Channels, func(c string) bool { return slices.Contains(channels, c) })
}

// staysOf lists the usable stays of a system in time order: the steady stretches of
// its usable logs, cut at midnight (UTC) and between courses.
func staysOf(files []truth.File, courses []course) []stay {
	var list []stay
	for _, f := range files {
		if !usable(f) {
			continue
		}
		var last stay
		var day, cut int
		for _, piece := range cutUp(f.Steady, courses) {
			if d, c := dayOf(piece.From), courseOf(courses, piece.From); last.from.IsZero() || d != day || c != cut {
				list = keep(list, last)
				last, day, cut = stay{from: piece.From}, d, c
			}
			last.rest += piece.To.Sub(piece.From)
		}
		list = keep(list, last)
	}
	slices.SortStableFunc(list, func(a, b stay) int { return cmp.Compare(a.from.UnixNano(), b.from.UnixNano()) })
	return list
}

func keep(list []stay, v stay) []stay {
	if v.rest < leastStay {
		return list
	}
	return append(list, v)
}

// cutUp cuts stretches at midnights and at the edges of courses.
func cutUp(stretches []truth.Stretch, courses []course) []truth.Stretch {
	var list []truth.Stretch
	for _, x := range stretches {
		for x.From.Before(x.To) {
			end := nextDay(x.From)
			for _, c := range courses {
				if c.from.After(x.From) && c.from.Before(end) {
					end = c.from
				}
			}
			if end.After(x.To) {
				end = x.To
			}
			list = append(list, truth.Stretch{From: x.From, To: end})
			x.From = end
		}
	}
	return list
}

// nextDay is the midnight after a time, UTC.
func nextDay(t time.Time) time.Time { return t.UTC().Truncate(24 * time.Hour).Add(24 * time.Hour) }

func dayOf(t time.Time) int { return int(t.Unix() / 86400) }

func courseOf(courses []course, t time.Time) int {
	for i, c := range courses {
		if c.holds(t) {
			return i
		}
	}
	return -1
}
