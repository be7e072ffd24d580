package clock

import (
	"fmt"
	"time"
)

// A ZoneRule is how the logger's clock relates to UTC: a zone of the time zone
// database, or a fixed offset.
type ZoneRule struct {
	Loc     *time.Location
	Fixed   bool // Loc never changes its offset
	Unknown bool // nobody knows it: UTC is assumed, and said
	Name    string
	Why     string
	NoFold  bool   // hours that the clock shows twice cannot be told apart
	Abbr    string // the clock shows the zone's time of this name all year
}

// FixedZone is a clock that stays at one distance from UTC.
func FixedZone(seconds int, why string) ZoneRule {
	name := "UTC"
	if seconds != 0 {
		sign, s := '+', seconds
		if s < 0 {
			sign, s = '-', -s
		}
		name = fmt.Sprintf("UTC%c%02d:%02d", sign, s/3600, s%3600/60)
	}
	return ZoneRule{Loc: time.FixedZone(name, seconds), Fixed: true, Name: name, Why: why}
}

// A ZoneClock turns local times into UTC, in the order of the file's lines.
type ZoneClock struct {
	Rule     ZoneRule
	Lo, Hi   int64 // local times for which Offset is the only one
	Offset   int64
	Last     int64 // local time of the line before
	LastUTC  int64
	Started  bool
	inFold   bool
	repeated bool // the repeated hour has begun
	Shift    *ZoneDoubt
	Strange  string // why a name of a time does not fit its day
}

// A ZoneDoubt says that the clock did not switch when its zone did.
type ZoneDoubt struct {
	Offset int64 // at which it stayed, in microseconds
	Why    string
	Fold   bool // only the doubled hour is in doubt
}

const (
	gapReason  = "the clocks of %s skipped this hour"
	foldReason = "the clocks of %s show this hour twice and nothing tells which is meant"
)

// UTC converts a local time. The reason is empty where there is one answer.
func (z *ZoneClock) UTC(local int64) (utc int64, reason string) {
	if local < z.Lo || local >= z.Hi {
		if reason := z.move(local); reason != "" {
			return 0, reason
		}
	}
	z.Last, z.Started = local, true
	z.LastUTC = local - z.Offset
	return z.LastUTC, ""
}

// move finds the offset that holds at a local time outside the current stretch.
func (z *ZoneClock) move(local int64) string {
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
		z.Shift = &ZoneDoubt{Offset: before, Why: fmt.Sprintf("the file has lines in an hour that the clocks of %s skipped, so its clock did not switch", z.Rule.Name)}
		return fmt.Sprintf(gapReason, z.Rule.Name)
	}
	return ""
}

// around gives the offsets before and after the change nearest to a local time,
// the same twice where none is within reach, and the stretch where they hold.
func (z *ZoneClock) around(local int64) (before, after int64) {
	at := func(micros int64) (off int64, from, to time.Time) {
		t := time.UnixMicro(micros).In(z.Rule.Loc)
		_, s := t.Zone()
		from, to = t.ZoneBounds()
		return int64(s) * Second, from, to
	}
	before, _, end := at(local - 15*Hour)
	after, start, next := at(local + 15*Hour)
	z.Lo, z.Hi = local, local+1
	if before == after {
		if start.IsZero() {
			z.Lo = -1 << 62
		} else {
			z.Lo = start.UnixMicro() + 15*Hour
		}
		z.Hi = 1 << 62
		if !next.IsZero() {
			z.Hi = next.UnixMicro() - 15*Hour
		}
		if z.Lo > local || z.Hi <= local {
			z.Lo, z.Hi = local, local+1
		}
		return before, after
	}
	change := end.UnixMicro()
	if local < change+min(before, after) {
		z.Lo, z.Hi = change-10*Hour+min(before, after), change+min(before, after)
	} else if local >= change+max(before, after) {
		z.Lo, z.Hi = change+max(before, after), change+max(before, after)+10*Hour
	}
	if z.Lo > local {
		z.Lo = local
	}
	return before, after
}

func (z *ZoneClock) valid(local, offset int64) bool {
	_, s := time.UnixMicro(local - offset).In(z.Rule.Loc).Zone()
	return int64(s)*Second == offset
}

// fold settles a local time that the clocks show twice: the second time once the
// clock was seen to jump back, the first time where it ran into the hour.
func (z *ZoneClock) fold(local, before, after int64) string {
	z.Lo, z.Hi = local, local+1 // every line in this hour is looked at
	if z.Rule.NoFold {
		return fmt.Sprintf(foldReason, z.Rule.Name)
	}
	if !z.inFold {
		z.inFold = true
		z.repeated = false
		if !z.Started || local-z.Last > 30*Minute {
			z.Shift = &ZoneDoubt{Fold: true}
		}
	} else if local < z.Last-20*Minute {
		z.repeated = true
		if z.Shift != nil && z.Shift.Fold {
			z.Shift = nil
		}
	}
	z.Offset = before
	if z.repeated {
		z.Offset = after
	}
	return ""
}

// Named settles a local time by the zone's abbreviation that stands beside it.
func (z *ZoneClock) Named(local int64, abbreviation string) (utc int64, reason string) {
	if z.Rule.Unknown {
		loc, ok := NamedZone(abbreviation)
		if !ok {
			return 0, fmt.Sprintf("%s means other zones in other places; say which one", abbreviation)
		}
		if loc.String() != z.Rule.Loc.String() {
			z.Rule.Loc, z.Rule.Name = loc, loc.String()
		}
	}
	before, after := z.around(local)
	for _, offset := range []int64{before, after} {
		if name, _ := time.UnixMicro(local - offset).In(z.Rule.Loc).Zone(); name == englishName(abbreviation) && z.valid(local, offset) {
			z.Offset, z.Last, z.Started = offset, local, true
			z.Lo, z.Hi = local, local+1
			return local - offset, ""
		}
	}
	if z.Rule.Abbr != "" {
		z.Strange = fmt.Sprintf("%s, and on %s the clocks of %s do not show that: nobody knows whether this clock switched", z.Rule.Why, DayText(local/Day), z.Rule.Loc)
		return 0, z.Strange
	}
	return 0, fmt.Sprintf("%s is not what %s calls its time on that day", abbreviation, z.Rule.Name)
}

// leaveFold takes the offset outside a doubled hour, and doubts it where the hour
// was shown only once although the lines run on without a gap.
func (z *ZoneClock) leaveFold(local, offset int64) {
	if z.inFold && !z.repeated && z.Shift == nil && local > z.Last && local-z.Last < 30*Minute && offset != z.Offset {
		z.Shift = &ZoneDoubt{Offset: z.Offset, Why: fmt.Sprintf("the file runs through the hour that the clocks of %s show twice without showing it twice, so its clock did not switch", z.Rule.Name)}
	}
	z.inFold, z.Offset = false, offset
}

// DayText is a day of the calendar, counted from 1970-01-01, in words.
func DayText(days int64) string {
	return time.Unix(days*86400, 0).UTC().Format("2 January 2006")
}
