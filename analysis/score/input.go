package score

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// An Input is a fleet's truth beside what the analysis made of its logs.
type Input struct {
	Truth    truth.Fleet
	Findings []table.Finding
	Problems []table.Problem
	Uploads  []table.Upload
	// Classes says by what each rule about data errors can be seen, by its number: a
	// inside one visit, b against history, c not separable. It may be nil.
	Classes  map[string]string
	Rankings []table.Ranking
	// Observe gives what is known of a system besides its truth. It is asked once for
	// each, and what it gives is not kept: memory holds one system's rows at a time. It
	// may be nil.
	Observe func(system string) (Observed, error)

	ends map[string]time.Time // of the record, by system, where fleets are pooled
}

// end is when the record of a system ends.
func (in Input) end(system string) time.Time {
	if t, pooled := in.ends[system]; pooled {
		return t
	}
	return in.Truth.End
}

// An Observed is what is known of one system besides its truth: its rows in the
// dataset, and its true operating points.
type Observed struct {
	Points  []truth.Point // in time order
	Visits  []table.Visit
	Windows []table.Window
	Trends  []table.Trend
	Days    []table.EnergyDay
	Seasons []table.Season
	Savings []table.Saving
	Samples []int64 // times, microseconds since 1970
}

// A subject is one system with everything that is held against each other.
type subject struct {
	truth.System
	sight
	end     time.Time    // of the record
	files   []truth.File // its logs, in time order
	stays   []stay       // usable ones, in time order
	courses []course
	class   string            // of the instruments that logged it most often
	classOf map[string]string // instrument class by kit
}

// A fleet is all subjects, by ID.
type fleet struct {
	subjects []*subject
	classes  map[string]string // instrument class by kit
	spoilt   map[string]bool   // systems whose register names another refrigerant
	// unwritten are systems of which the register lacks an event, or has one wrong.
	unwritten map[string]bool
}

// newFleet puts truth and observation together.
func newFleet(in Input) (fleet, error) {
	f := fleet{classes: map[string]string{}, spoilt: map[string]bool{}, unwritten: map[string]bool{}}
	for _, s := range in.Truth.Sensors {
		f.classes[s.Kit] = s.Class
	}
	for _, s := range in.Truth.Slips {
		if s.Field == "refrigerant" {
			f.spoilt[s.System] = true
		}
		if s.Table == "events" {
			f.unwritten[s.System] = true
		}
	}
	files := map[string][]truth.File{}
	for _, x := range records(in.Truth.Files) {
		files[x.System] = append(files[x.System], x)
	}
	for _, s := range in.Truth.Systems {
		x := f.subject(s, files[s.ID], in.end(s.ID))
		if in.Observe != nil {
			o, err := in.Observe(s.ID)
			if err != nil {
				return f, err
			}
			x.sight = f.look(x, o)
		}
		f.subjects = append(f.subjects, x)
	}
	slices.SortFunc(f.subjects, func(a, b *subject) int { return cmp.Compare(a.ID, b.ID) })
	for _, x := range in.Findings {
		if f.find(x.System) == nil {
			return f, fmt.Errorf("finding %s: the truth knows no system %q; is it of another fleet?", x.ID, x.System)
		}
	}
	return f, nil
}

// records are the logs; one that was exported to several files is the first of them, with
// the columns of all.
func records(files []truth.File) (list []truth.File) {
	at := map[string]int{}
	for _, x := range files {
		if x.Logger == "" { // no log
			continue
		}
		i, known := at[x.Record]
		if x.Record != "" && known {
			list[i].Columns = append(slices.Clone(list[i].Columns), x.Columns...)
			continue
		}
		at[x.Record] = len(list)
		list = append(list, x)
	}
	return list
}

func (f fleet) subject(s truth.System, files []truth.File, end time.Time) *subject {
	s = opened(s)
	x := &subject{System: s, end: end, files: slices.Clone(files), classOf: f.classes}
	slices.SortStableFunc(x.files, func(a, b truth.File) int { return a.Start.Compare(b.Start) })
	x.courses = coursesOf(s, end)
	x.stays = staysOf(x.files, x.courses)
	for i := range x.courses {
		x.courses[i].rest(s, x.stays)
	}
	x.class = f.mostly(x.files)
	return x
}

// opened takes a valve that is stuck for what it is behind a fixed opening, in which nothing
// moves: the share of it that is blocked restricts the flow.
func opened(s truth.System) truth.System {
	if s.Expansion != fixedOpening {
		return s
	}
	s.Episodes = each(s.Episodes, func(e *truth.Episode) {
		if e.Fault == truth.ValveStuck {
			e.Fault, e.Sudden = truth.Restriction, 1-e.Sudden
		}
	})
	return s
}

// fixedOpening is what the truth calls an expansion device that does not move.
const fixedOpening = "fixed"

// mostly is the instrument class of most logs; of equally many, the first by name.
func (f fleet) mostly(files []truth.File) string {
	count := map[string]int{}
	for _, x := range files {
		count[f.classes[x.Kit]]++
	}
	best := ""
	for class, n := range count {
		if n > count[best] || n == count[best] && class < best {
			best = class
		}
	}
	return best
}

// permanentFrom is the length of a log from which it is no visit's.
const permanentFrom = 24 * time.Hour

// permanent tells whether most of the time that a system was watched a logger stayed
// on it.
func (s *subject) permanent() bool {
	if len(s.files) == 0 {
		return false
	}
	var logged time.Duration
	for _, x := range s.files {
		if d := x.End.Sub(x.Start); d >= permanentFrom {
			logged += d
		}
	}
	return 2*logged > s.files[len(s.files)-1].End.Sub(s.files[0].Start)
}

func (f fleet) find(id string) *subject {
	i, ok := slices.BinarySearchFunc(f.subjects, id, func(s *subject, id string) int { return cmp.Compare(s.ID, id) })
	if !ok {
		return nil
	}
	return f.subjects[i]
}

// only is the part of a fleet for which something holds.
func (f fleet) only(keep func(*subject) bool) fleet {
	part := f
	part.subjects = nil
	for _, s := range f.subjects {
		if keep(s) {
			part.subjects = append(part.subjects, s)
		}
	}
	return part
}

// about picks the alarms about a part's systems.
func (f fleet) about(alarms []alarm) []alarm {
	return slices.DeleteFunc(slices.Clone(alarms), func(a alarm) bool { return f.find(a.system) == nil })
}

// years is how long the fleet was watched, from each system's first log to its last.
func (f fleet) years() (sum float64) {
	for _, s := range f.subjects {
		if n := len(s.files); n > 0 {
			sum += s.files[n-1].End.Sub(s.files[0].Start).Hours() / hoursInYear
		}
	}
	return sum
}

const hoursInYear = 24 * 365.25

// fileAt is the log that a time lies in.
func (s *subject) fileAt(t time.Time) (truth.File, bool) {
	for _, f := range s.files {
		if !t.Before(f.Start) && !t.After(f.End) {
			return f, true
		}
	}
	return truth.File{}, false
}
