package ingest

import (
	"fmt"
	"time"
)

// A zoneRule is how the logger's clock relates to UTC: a zone of the time zone
// database, or a fixed offset.
type zoneRule struct {
	loc     *time.Location
	fixed   bool // loc never changes its offset
	unknown bool // nobody knows it: UTC is assumed, and said
	name    string
	why     string
	noFold  bool   // hours that the clock shows twice cannot be told apart
	abbr    string // the clock shows the zone's time of this name all year
}

func fixedZone(seconds int, why string) zoneRule {
	name := "UTC"
	if seconds != 0 {
		sign, s := '+', seconds
		if s < 0 {
			sign, s = '-', -s
		}
		name = fmt.Sprintf("UTC%c%02d:%02d", sign, s/3600, s%3600/60)
	}
	return zoneRule{loc: time.FixedZone(name, seconds), fixed: true, name: name, why: why}
}

// A zoneClock turns local times into UTC, in the order of the file's lines.
type zoneClock struct {
	rule     zoneRule
	lo, hi   int64 // local times for which offset is the only one
	offset   int64
	last     int64 // local time of the line before
	lastUTC  int64
	started  bool
	inFold   bool
	repeated bool // the repeated hour has begun
	shift    *zoneDoubt
	strange  string // why a name of a time does not fit its day
}

// A zoneDoubt says that the clock did not switch when its zone did.
type zoneDoubt struct {
	offset int64 // at which it stayed, in microseconds
	why    string
	fold   bool // only the doubled hour is in doubt
}

const (
	gapReason  = "the clocks of %s skipped this hour"
	foldReason = "the clocks of %s show this hour twice and nothing tells which is meant"
)

// utc converts a local time. The reason is empty where there is one answer.
func (z *zoneClock) utc(local int64) (utc int64, reason string) {
	if local < z.lo || local >= z.hi {
		if reason := z.move(local); reason != "" {
			return 0, reason
		}
	}
	z.last, z.started = local, true
	z.lastUTC = local - z.offset
	return z.lastUTC, ""
}

// move finds the offset that holds at a local time outside the current stretch.
func (z *zoneClock) move(local int64) string {
	before, after := z.around(local)
	if before == after {
		z.leaveFold(local, after)
		return ""
	}
	switch first, second := z.valid(local, before), z.valid(local, after); {
	case first && second:
		return z.fold(local, before, after)
	case first:
		z.leaveFold(local, before)
	case second:
		z.leaveFold(local, after)
	default:
		z.shift = &zoneDoubt{offset: before, why: fmt.Sprintf("the file has lines in an hour that the clocks of %s skipped, so its clock did not switch", z.rule.name)}
		return fmt.Sprintf(gapReason, z.rule.name)
	}
	return ""
}

// around gives the offsets before and after the change nearest to a local time,
// the same twice where none is within reach, and the stretch where they hold.
func (z *zoneClock) around(local int64) (before, after int64) {
	at := func(micros int64) (off int64, from, to time.Time) {
		t := time.UnixMicro(micros).In(z.rule.loc)
		_, s := t.Zone()
		from, to = t.ZoneBounds()
		return int64(s) * second, from, to
	}
	before, _, end := at(local - 15*hour)
	after, start, next := at(local + 15*hour)
	z.lo, z.hi = local, local+1
	if before == after {
		if start.IsZero() {
			z.lo = -1 << 62
		} else {
			z.lo = start.UnixMicro() + 15*hour
		}
		z.hi = 1 << 62
		if !next.IsZero() {
			z.hi = next.UnixMicro() - 15*hour
		}
		if z.lo > local || z.hi <= local {
			z.lo, z.hi = local, local+1
		}
		return before, after
	}
	change := end.UnixMicro()
	if local < change+min(before, after) {
		z.lo, z.hi = change-10*hour+min(before, after), change+min(before, after)
	} else if local >= change+max(before, after) {
		z.lo, z.hi = change+max(before, after), change+max(before, after)+10*hour
	}
	if z.lo > local {
		z.lo = local
	}
	return before, after
}

func (z *zoneClock) valid(local, offset int64) bool {
	_, s := time.UnixMicro(local - offset).In(z.rule.loc).Zone()
	return int64(s)*second == offset
}

// fold settles a local time that the clocks show twice: the second time once the
// clock was seen to jump back, the first time where it ran into the hour.
func (z *zoneClock) fold(local, before, after int64) string {
	z.lo, z.hi = local, local+1 // every line in this hour is looked at
	if z.rule.noFold {
		return fmt.Sprintf(foldReason, z.rule.name)
	}
	if !z.inFold {
		z.inFold = true
		z.repeated = false
		if !z.started || local-z.last > 30*minute {
			z.shift = &zoneDoubt{fold: true}
		}
	} else if local < z.last-20*minute {
		z.repeated = true
		if z.shift != nil && z.shift.fold {
			z.shift = nil
		}
	}
	z.offset = before
	if z.repeated {
		z.offset = after
	}
	return ""
}

// named settles a local time by the zone's abbreviation that stands beside it.
func (z *zoneClock) named(local int64, abbreviation string) (utc int64, reason string) {
	if z.rule.unknown {
		loc, ok := namedZone(abbreviation)
		if !ok {
			return 0, fmt.Sprintf("%s means other zones in other places; say which one", abbreviation)
		}
		if loc.String() != z.rule.loc.String() {
			z.rule.loc, z.rule.name = loc, loc.String()
		}
	}
	before, after := z.around(local)
	for _, offset := range []int64{before, after} {
		if name, _ := time.UnixMicro(local - offset).In(z.rule.loc).Zone(); name == englishName(abbreviation) && z.valid(local, offset) {
			z.offset, z.last, z.started = offset, local, true
			z.lo, z.hi = local, local+1
			return local - offset, ""
		}
	}
	if z.rule.abbr != "" {
		z.strange = fmt.Sprintf("%s, and on %s the clocks of %s do not show that: nobody knows whether this clock switched", z.rule.why, dayText(local/day), z.rule.loc)
		return 0, z.strange
	}
	return 0, fmt.Sprintf("%s is not what %s calls its time on that day", abbreviation, z.rule.name)
}

// leaveFold takes the offset outside a doubled hour, and doubts it where the hour
// was shown only once although the lines run on without a gap.
func (z *zoneClock) leaveFold(local, offset int64) {
	if z.inFold && !z.repeated && z.shift == nil && local > z.last && local-z.last < 30*minute && offset != z.offset {
		z.shift = &zoneDoubt{offset: z.offset, why: fmt.Sprintf("the file runs through the hour that the clocks of %s show twice without showing it twice, so its clock did not switch", z.rule.name)}
	}
	z.inFold, z.offset = false, offset
}
