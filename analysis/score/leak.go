package score

import (
	"strconv"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
)

// levels are the losses at which sensitivity is given, percent of charge.
var levels = []int{5, 8, 10, 15, 25}

// Detection is how well alarms tell of slow losses of charge.
type Detection struct {
	Sensitivity map[string]Share `json:"sensitivity"` // by percent of charge lost
	FalseAlarms Rate             `json:"false_alarms_per_100_system_years"`
	LostPct     Spread           `json:"lost_pct_at_detection"`
	Days        Spread           `json:"days_to_detection"`
	ROCArea     Number           `json:"roc_area"`
}

// Leak is Detection with the analysis's estimate of the rate of loss.
type Leak struct {
	Detection
	RateInterval Interval `json:"rate_interval"` // of the rate of loss, percent of charge a year
	// BriskRates is the same after twelve usable stays at systems that lose 10 % or more a year:
	// by whether a weighed addition calibrates it.
	BriskRates   map[string]BriskRate `json:"rate_interval_after_12_visits"`
	LostInterval Interval             `json:"lost_interval"` // of the loss, percent of charge
	// HalfReserve is the share of systems with a receiver that had the finding no later
	// than the first usable stay at which half of its reserve was gone: by whether its
	// level is logged.
	HalfReserve map[string]Share `json:"half_reserve"`
	// Healthy is the rate of false alarms of the years in which less than 2 % was lost: only
	// then can there be any. LeakingYears are the others.
	Healthy      Rate   `json:"false_alarms_per_100_healthy_system_years"`
	LeakingYears Number `json:"leaking_system_years"`
	// Oracle is what could be found at the same rate of false alarms by who knows all but the
	// errors, by percent of charge lost.
	Oracle map[string]Detectable `json:"oracle"`
}

// detection holds leak alarms against the truth.
func (f fleet) detection(alarms []alarm) Detection {
	d := Detection{Sensitivity: map[string]Share{}}
	for _, level := range levels {
		x := float64(level) / 100
		d.Sensitivity[strconv.Itoa(level)] = f.sensitivity(alarms, func(*subject) float64 { return x })
	}
	var lost, days []float64
	wrong := 0
	for _, s := range f.subjects {
		g := s.grouped(of(alarms, s.ID, truth.Leak))
		wrong += len(g.wrong)
		lost, days = append(lost, g.lost...), append(days, g.days...)
	}
	d.FalseAlarms = rate(wrong, f.years())
	d.LostPct, d.Days = spread(lost), spread(days)
	return d
}

// leaking is how many years systems were watched while 2 % or more was lost, day by day.
func (f fleet) leaking() float64 {
	days := 0
	for _, s := range f.subjects {
		if len(s.files) == 0 {
			continue
		}
		for t, end := s.files[0].Start, s.files[len(s.files)-1].End; t.Before(end); t = t.Add(24 * time.Hour) {
			if s.courses[s.courseAt(t)].loss(s.System, t) >= falseBelow {
				days++
			}
		}
	}
	return float64(days) * 24 / hoursInYear
}

// halfReserve is the sensitivity of systems with a receiver to the loss of half of its
// reserve.
func (f fleet) halfReserve(alarms []alarm) map[string]Share {
	out := map[string]Share{}
	for name, has := range map[string]bool{"level logged": true, "level not logged": false} {
		part := f.only(func(s *subject) bool { return s.Reserve > 0 && s.LevelSensor == has })
		out[name] = part.sensitivity(alarms, func(s *subject) float64 { return s.Reserve / 2 })
	}
	return out
}

// sensitivity is the share of systems that slowly lost what at says (a share of the
// charge) and had the finding in time.
func (f fleet) sensitivity(alarms []alarm, at func(*subject) float64) Share {
	var hits, n int
	for _, s := range f.subjects {
		x := at(s)
		c, ok := s.passed(x)
		if !ok {
			continue
		}
		n++
		deadline := c.deadline(s, x)
		for _, a := range of(alarms, s.ID, truth.Leak) {
			if a.on(c.from, deadline) {
				hits++
				break
			}
		}
	}
	return share(hits, n)
}

// passed is the first course in which a system slowly lost x.
func (s *subject) passed(x float64) (course, bool) {
	for _, c := range s.courses {
		if c.most(s.System) < x {
			continue
		}
		if _, sudden := c.sudden(s.System, c.deadline(s, x)); !sudden {
			return c, true
		}
	}
	return course{}, false
}

// A group is what the leak alarms of a system come to, one for each course.
type group struct {
	wrong      []time.Time // when false ones were raised
	lost, days []float64   // at the first true one of each slow course: percent of charge, days
}

func (s *subject) grouped(alarms []alarm) group {
	var g group
	wrong, right := map[int]bool{}, map[int]bool{}
	for _, a := range alarms {
		i := s.courseAt(a.raised)
		c := s.courses[i]
		loss := c.loss(s.System, a.raised)
		switch _, sudden := c.sudden(s.System, a.raised); {
		case loss < falseBelow && !wrong[i]:
			wrong[i] = true
			g.wrong = append(g.wrong, a.raised)
		case loss >= falseBelow && !right[i] && !sudden:
			right[i] = true
			g.lost = append(g.lost, 100*loss)
			g.days = append(g.days, a.raised.Sub(c.onset(s.System)).Hours()/24)
		}
	}
	return g
}

// leakingFrom is the slow loss from which a system counts as leaking for the ROC
// curve.
const leakingFrom = 0.05

// rocArea is how well the strongest evidence of each system tells leaking ones from
// tight ones.
func (f fleet) rocArea(strongest func(*subject) float64) Number {
	var with, without []float64
	for _, s := range f.subjects {
		most := 0.0
		for _, c := range s.courses {
			most = max(most, c.most(s.System))
		}
		if _, leaks := s.passed(leakingFrom); leaks {
			with = append(with, strongest(s))
		} else if most < falseBelow {
			without = append(without, strongest(s))
		}
	}
	area, err := robust.ROCArea(with, without)
	if err != nil {
		return absent
	}
	return Number(area)
}
