package demofleet

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// differing is a make of logger as one set of instruments of it is: of another class than
// usual, with another interval, or with a digit less.
func (m *Mix) differing(r *rand.Rand, l logger) logger {
	if r.Float64() >= m.Sensors.Ordinary {
		l.class = classes[m.Classes.pick(r, names(classes, func(c class) string { return c.name }))]
	}
	l.interval = max(time.Second, time.Duration(float64(l.interval)*draw(r, m.Visits.Interval)).Round(time.Second))
	if r.Float64() < m.Sensors.Coarse {
		for _, c := range []unitClass{pressures, temperatures} {
			u := l.dialect.units[c]
			u.digits = max(0, u.digits-1)
			l.dialect.units = withUnit(l.dialect.units, c, u)
		}
	}
	return l
}

// fitSingle gives the n-th system sets of instruments that come to no other one.
func (f *fleet) fitSingle(system int) func(logger) *kit {
	count := 0
	return func(l logger) *kit {
		count++
		k := f.fit(fmt.Sprintf("%s%dS%d", l.kit, system+1, count), l)
		f.single = append(f.single, k)
		return k
	}
}

// settle settles which set mostly comes: one of the firm's, or one of the system's own;
// and whether it is another one from some day on.
func (l *life) settle(own, changes bool) {
	l.usual = l.kits[l.m.home]
	if own {
		l.usual = l.fit(l.mix.chooseLogger(l.sets))
	}
	if changes {
		l.after = l.fit(l.mix.chooseLogger(l.sets))
		l.from = l.start.Add(time.Duration(between(l.sets, 0.4, 0.7) * float64(l.end.Sub(l.start))))
	}
}

// comes is the set that comes on a day.
func (l *life) comes(r *rand.Rand, day time.Time) *kit {
	k := l.usual
	if l.after != nil && !day.Before(l.from) {
		k = l.after
	}
	x := l.mix.Visits
	if r.Float64() < max(x.OtherKit, l.mix.Mistakes["D24"]) {
		k = l.kits[l.mix.chooseKit(r, l.kits)]
	}
	if x.NewSet > 0 && l.sets.Float64() < x.NewSet {
		k = l.fit(l.mix.chooseLogger(l.sets))
	}
	return k.on(day)
}
