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
}

// Lengths of an intervention's standstill and of the record after it.
const (
	workTime  = 12 * time.Minute
	afterWork = 35 * time.Minute
)

// intervene makes somebody work on the system in the visit. The record goes on
// until the system has settled again. It returns the moment of the work.
func (v *visit) intervene() time.Time {
	v.work = v.start.Add(v.length).Truncate(time.Minute)
	v.length += workTime + afterWork
	return v.work
}

// visits draws the stays at a system: every 4 to 10 weeks, on a working day.
func (m *machine) drawVisits(r *rand.Rand, start, end time.Time, kits []*kit) []visit {
	const week = 7 * 24 * time.Hour
	home := r.IntN(len(kits))
	var list []visit
	for t := start.Add(time.Duration(r.Float64() * float64(5*week))); t.Before(end); {
		v := visit{start: m.workday(r, t), length: time.Duration(between(r, 25, 60) * float64(time.Minute))}
		v.kit = kits[home]
		if r.Float64() < 0.25 {
			v.kit = pick(r, kits)
		}
		v.kit = v.kit.on(v.start)
		v.channels = v.kit.channels(r, m)
		if r.Float64() < 0.4 {
			v.standing = time.Duration(between(r, 2, 5) * float64(time.Minute))
			v.length += v.standing
		}
		v.length = v.length.Truncate(v.kit.interval)
		list = append(list, v)
		t = t.Add(time.Duration(between(r, 4, 10) * float64(week)))
	}
	return list
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

func (v visit) end() time.Time { return v.start.Add(v.length) }
