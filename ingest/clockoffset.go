package ingest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
)

// The clocks of two loggers of one visit are compared by the compressor's starts, which
// both of them see. A difference is shown, with the line of the register that would set
// one of them right; nothing is changed by it.
const (
	fewestStarts = 3                // that must agree
	widestOffset = 2 * clock.Hour   // between two clocks
	sameMoment   = 4 * clock.Second // within which both see a start, and clocks agree
	longestVisit = 36 * clock.Hour  // from the first to the last sample
	startsAgree  = 0.8              // of those of the logger that saw fewer
	startsByLuck = fewestStarts/2 + 1
)

// A visitLog is what one upload says of the compressor's starts.
type visitLog struct {
	path        string
	column      string // of its time
	first, last int64
	starts      []int64
	step        int64
}

// visitLogOf takes the starts of a file; false where it has too few to compare.
func visitLogOf(path string, u understood.File) (visitLog, bool) {
	v := visitLog{path: path, step: int64(u.Time.StepS * clock.Second)}
	for _, text := range u.Starts {
		if t, err := time.Parse(time.RFC3339Nano, text); err == nil {
			v.starts = append(v.starts, t.UnixMicro())
		}
	}
	v.first, v.last = u.Extent()
	if len(u.Time.Columns) > 0 {
		v.column = u.Time.Columns[0]
	}
	return v, len(v.starts) >= fewestStarts && v.last-v.first < longestVisit
}

// clockOffset is by how much the second clock is ahead of the first: the shift under
// which most starts agree. It reports false where too few do, or another shift would do
// nearly as well.
func clockOffset(a, b []int64, within int64) (ahead int64, agree int, ok bool) {
	var best, second int
	for _, x := range a {
		for _, y := range b {
			shift := y - x
			if shift > widestOffset || shift < -widestOffset {
				continue
			}
			switch n := matches(a, b, shift, within); {
			case n > best && near64(shift, ahead, 2*within):
				best, ahead = n, shift
			case n > best:
				best, second, ahead = n, best, shift
			case n > second && !near64(shift, ahead, 2*within):
				second = n
			}
		}
	}
	enough := max(fewestStarts, int(startsAgree*float64(min(len(a), len(b)))+0.5))
	if best < enough || best-second < startsByLuck {
		return 0, best, false
	}
	return middleShift(a, b, ahead, within), best, true
}

func near64(a, b, within int64) bool { return a-b <= within && b-a <= within }

// matches counts the starts of a that b shows too, with its clock ahead by shift.
func matches(a, b []int64, shift, within int64) (n int) {
	for _, x := range a {
		if _, ok := partner(b, x+shift, within); ok {
			n++
		}
	}
	return n
}

// partner finds the first of b within reach of a moment.
func partner(b []int64, at, within int64) (int64, bool) {
	i, _ := slices.BinarySearch(b, at-within)
	if i == len(b) || b[i] > at+within {
		return 0, false
	}
	return b[i], true
}

// middleShift is the median of the shifts of the starts that agree.
func middleShift(a, b []int64, shift, within int64) int64 {
	var shifts []int64
	for _, x := range a {
		if y, ok := partner(b, x+shift, within); ok {
			shifts = append(shifts, y-x)
		}
	}
	slices.Sort(shifts)
	return shifts[len(shifts)/2]
}

// A span is from when to when an upload logged a system: its starts are looked up only
// where another logger was there too.
type span struct {
	dataset.Part
	first, last int64
	log         *visitLog // once it was looked up; without starts where it has too few
}

// noteSpan remembers a visit's upload of one system.
func (a *accountant) noteSpan(p dataset.Part, b *dataset.Brief) {
	if dated := b.Last != math.MaxInt64; dated && b.Last-b.First < longestVisit && len(b.Systems) == 1 {
		a.logs[b.Systems[0]] = append(a.logs[b.Systems[0]], span{Part: p, first: b.First, last: b.Last})
	}
}

// meets tells whether two uploads can have seen the same starts, by clocks that differ by
// no more than widestOffset: at least half of the shorter one lies within reach.
func (s span) meets(o span) bool {
	both := min(s.last, o.last) + widestOffset - max(s.first, o.first)
	return 2*both >= min(s.last-s.first, o.last-o.first)
}

// compareClocks proposes a correction for every pair of loggers of one visit whose
// clocks differ.
func (a *accountant) compareClocks(ctx context.Context) error {
	for id, logs := range a.logs {
		slices.SortFunc(logs, func(x, y span) int { return int(x.first/clock.Second - y.first/clock.Second) })
		for i := range logs {
			x := &logs[i]
			for k := i + 1; k < len(logs) && logs[k].first <= x.last+widestOffset; k++ {
				y := &logs[k]
				if !x.meets(*y) {
					continue
				}
				if err := errors.Join(a.lookUp(ctx, x), a.lookUp(ctx, y)); err != nil {
					return err
				}
				if len(x.log.starts) > 0 && len(y.log.starts) > 0 {
					a.compare(id, *x.log, *y.log)
				}
			}
		}
	}
	return nil
}

// lookUp finds the starts that an upload saw.
func (a *accountant) lookUp(ctx context.Context, s *span) error {
	if s.log != nil {
		return nil
	}
	s.log = &visitLog{}
	e, ok, err := a.s.data.Entry(ctx, s.Upload, s.Reading)
	if err != nil || !ok {
		return err
	}
	var u understood.File
	if err := json.Unmarshal(e.Decisions, &u); err != nil {
		return fmt.Errorf("entry of upload %s: %w", s.Upload, err)
	}
	if v, ok := visitLogOf(s.Path, u); ok {
		s.log = &v
	}
	return nil
}

func (a *accountant) compare(id string, x, y visitLog) {
	within := max(sameMoment, min(x.step, clock.Minute), min(y.step, clock.Minute))
	ahead, agree, ok := clockOffset(x.starts, y.starts, within)
	if !ok || near64(ahead, 0, within) {
		return
	}
	word, size := "ahead", ahead
	if size < 0 {
		word, size = "behind", -size
	}
	text := fmt.Sprintf("%s %d s", word, (size+clock.Second/2)/clock.Second)
	line := register.ChannelLine(register.Channel{System: id, File: y.path, Column: y.column, Channel: "time", Unit: text})
	a.problem(y.path, id, fmt.Sprintf("its clock is %s of that of %s%s, by %d compressor starts that both saw", text, uploadsFolder, x.path, agree),
		"if this clock is the wrong one, write in register/channels.csv: "+line, weightDoubt)
}
