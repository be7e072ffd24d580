package demofleet

import (
	"math/rand/v2"
	"time"
)

// A visit is one stay at a system with a logger, or a stretch of a permanent
// logger's record.
type visit struct {
	start    time.Time
	length   time.Duration
	kit      *kit
	channels []quantity
	standing time.Duration // the compressor stands still at first
	work     time.Time     // somebody intervenes; zero if nobody does
	cycling  bool          // the thermostat stops and starts the compressor
	warm     float64       // how much too warm the source is at first, K
}

// Lengths of an intervention's standstill and of the record after it.
const (
	workTime  = 12 * time.Minute
	afterWork = 35 * time.Minute
)

// intervene makes somebody work on the system in the visit. The record goes on
// until the system has settled again. It returns the moment of the work.
func (v *visit) intervene() time.Time {
	if v.work.IsZero() {
		v.work = v.start.Add(v.length).Truncate(time.Minute)
		v.length += workTime + afterWork
	}
	return v.work
}

func (v *visit) end() time.Time { return v.start.Add(v.length) }

// plan draws the stays at a system over the years.
func (l *life) plan(r *rand.Rand) {
	const week = 7 * 24 * time.Hour
	x := l.mix.Visits
	for t := l.start.Add(time.Duration(r.Float64() * x.Weeks[0] * float64(week))); t.Before(l.end); {
		l.visits = append(l.visits, l.draw(r, t))
		t = t.Add(time.Duration(draw(r, x.Weeks) * float64(week)))
	}
}

// draw makes one visit on the next working day after a time.
func (l *life) draw(r *rand.Rand, t time.Time) *visit {
	x := l.mix.Visits
	v := &visit{start: l.m.workday(r, t), length: time.Duration(draw(r, x.Minutes) * float64(time.Minute))}
	v.kit = l.kits[l.m.home]
	if r.Float64() < x.OtherKit {
		v.kit = pick(r, l.kits)
	}
	v.kit = v.kit.on(v.start)
	v.channels = v.kit.channels(r, l.m, x.Sparse)
	if r.Float64() < x.Standing && !l.m.always {
		v.standing = time.Duration(between(r, 2, 5) * float64(time.Minute))
		v.length += v.standing
	}
	v.length = v.length.Truncate(v.kit.interval)
	return v
}

// workday moves a time to working hours of a working day.
func (m *machine) workday(r *rand.Rand, t time.Time) time.Time {
	zone := m.weather.location()
	local := t.In(zone)
	switch local.Weekday() {
	case time.Saturday:
		local = local.AddDate(0, 0, 2)
	case time.Sunday:
		local = local.AddDate(0, 0, 1)
	}
	y, mo, d := local.Date()
	at := time.Duration(between(r, 8, 15) * float64(time.Hour)).Truncate(time.Second)
	return time.Date(y, mo, d, 0, 0, 0, 0, zone).Add(at)
}
