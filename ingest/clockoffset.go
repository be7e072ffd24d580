package ingest

import (
	"fmt"
	"slices"
	"time"

	"rimelog/pipeline/register"
)

// The clocks of two loggers of one visit are compared by the compressor's starts, which
// both of them see. A difference is shown, with the line of the register that would set
// one of them right; nothing is changed by it.
const (
	fewestStarts = 3          // that must agree
	widestOffset = 2 * hour   // between two clocks
	sameMoment   = 4 * second // within which both see a start, and clocks agree
	longestVisit = 36 * hour  // from the first to the last sample
	startsAgree  = 0.8        // of those of the logger that saw fewer
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
func visitLogOf(path string, u Understanding) (visitLog, bool) {
	v := visitLog{path: path, step: int64(u.Time.StepS * second)}
	for _, text := range u.Starts {
		if t, err := time.Parse(time.RFC3339Nano, text); err == nil {
			v.starts = append(v.starts, t.UnixMicro())
		}
	}
	v.first, v.last = Reading{Understanding: u}.extent()
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

// noteStarts remembers the starts that an upload saw of its system.
func (a *accountant) noteStarts(path string, systems []string, u Understanding) {
	if v, ok := visitLogOf(path, u); ok && len(systems) == 1 {
		a.logs[systems[0]] = append(a.logs[systems[0]], v)
	}
}

// compareClocks proposes a correction for every pair of loggers of one visit whose
// clocks differ.
func (a *accountant) compareClocks() {
	for id, logs := range a.logs {
		slices.SortFunc(logs, func(x, y visitLog) int { return int(x.first/second - y.first/second) })
		for i, x := range logs {
			for _, y := range logs[i+1:] {
				if y.first > x.last+widestOffset {
					break
				}
				a.compare(id, x, y)
			}
		}
	}
}

func (a *accountant) compare(id string, x, y visitLog) {
	within := max(sameMoment, min(x.step, minute), min(y.step, minute))
	ahead, agree, ok := clockOffset(x.starts, y.starts, within)
	if !ok || near64(ahead, 0, within) {
		return
	}
	word, size := "ahead", ahead
	if size < 0 {
		word, size = "behind", -size
	}
	text := fmt.Sprintf("%s %d s", word, (size+second/2)/second)
	line := register.ChannelLine(register.Channel{System: id, File: y.path, Column: y.column, Channel: "time", Unit: text})
	a.problem(y.path, id, fmt.Sprintf("its clock is %s of that of %s%s, by %d compressor starts that both saw", text, uploadsFolder, x.path, agree),
		"if this clock is the wrong one, write in register/channels.csv: "+line, weightDoubt)
}

// startsText prints starts for the ledger.
func startsText(at []int64) (list []string) {
	for _, t := range at {
		list = append(list, utcText(t))
	}
	return list
}
