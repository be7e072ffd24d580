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
	busy     time.Duration // for how long the machine stands then
	after    time.Duration // and the log goes on after it
	cycling  bool          // the thermostat stops and starts the compressor
	warm     float64       // how much too warm the source is at first, K
	open     time.Duration // the hoses hang in the air at first
	off      time.Duration // and at the end
	otherKit bool          // than at the visit before
	again    bool          // for the second time on a day
	step     step          // of the compressor's capacity
}

// A step is a share of the compressor's capacity that holds for a while.
type step struct {
	from, to time.Time
	share    float64
}

// at is the share at a time.
func (s step) at(t time.Time) float64 {
	if s.from.IsZero() || t.Before(s.from) || !t.Before(s.to) {
		return 1
	}
	return s.share
}

// connected tells whether the hoses are on the system.
func (v *visit) connected(now time.Time) bool {
	return now.Sub(v.start) >= v.open && v.end().Sub(now) > v.off
}

// vent lets hoses that hang in the air show its pressure.
func (v *visit) vent(now time.Time, x *reading, air float64) {
	if !v.connected(now) {
		x[suctionPressure], x[dischargePressure] = air, air
	}
}

// intervene makes somebody work on the system in the visit. The record goes on
// until the system has settled again. It returns the moment of the work.
func (v *visit) intervene() time.Time {
	if v.work.IsZero() {
		v.work = v.start.Add(v.length).Truncate(time.Minute)
		v.length += v.busy + v.after
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
	v := &visit{start: l.m.workday(r, t, x.Hours), length: minutes(draw(r, x.Minutes)), busy: minutes(x.Work), after: minutes(x.AfterWork)}
	v.kit = l.comes(r, v.start)
	v.channels = v.kit.channels(r, l.m, x)
	if r.Float64() < x.Standing && !l.m.always {
		v.standing = minutes(draw(r, x.StandFor))
		v.length += v.standing
	}
	if r.Float64() < x.OpenHoses {
		v.open = minutes(draw(r, x.OpenFor))
		v.off = time.Minute
		v.length += v.open + v.off
	}
	v.length = v.length.Truncate(v.kit.interval)
	return v
}

// workday moves a time to working hours of a working day.
func (m *machine) workday(r *rand.Rand, t time.Time, hours Range) time.Time {
	zone := m.weather.local
	local := t.In(zone)
	switch local.Weekday() {
	case time.Saturday:
		local = local.AddDate(0, 0, 2)
	case time.Sunday:
		local = local.AddDate(0, 0, 1)
	}
	y, mo, d := local.Date()
	at := time.Duration(draw(r, hours) * float64(time.Hour)).Truncate(time.Second)
	return time.Date(y, mo, d, 0, 0, 0, 0, zone).Add(at)
}

// minutes is a time of so many minutes.
func minutes(x float64) time.Duration { return time.Duration(x * float64(time.Minute)) }
