package array

import "time"

// A State says how far a unit of a stage is.
type State int

// The states of a unit.
const (
	Missing  State = iota // not done yet
	Done                  // the ledger has it
	Rejected              // the ledger says why it cannot be done
)

// A Unit is one thing that a stage does: an upload, a system, a page.
type Unit struct {
	Shard  int
	Weight int64 // how much work it is, against others of its stage
	State  State
	At     time.Time // when it was done, by the store's clock; zero where unknown
}

// A Row counts the units of one shard, or of a stage.
type Row struct {
	Shard    int `json:"shard"` // from 0; -1 for all
	Done     int `json:"done"`
	Missing  int `json:"missing"`
	Rejected int `json:"rejected"`
}

// A Stage is the units of a stage, and what they add up to.
type Stage struct {
	Name string
	Rows []Row // by shard
	// Left is an estimate of the time that the missing units take; 0 where nothing is
	// missing, negative where nothing was done yet that it could follow from.
	Left time.Duration
	// Ended is when the last unit that is done was, by the store's clock.
	Ended time.Time
}

// Count sums the units of a stage by shard. began is when the stage could begin: what was
// done since gives the pace, by which the missing weight takes the time that is left.
func Count(name string, shards int, units []Unit, began, now time.Time) Stage {
	s := Stage{Name: name, Rows: make([]Row, shards), Ended: began}
	for i := range s.Rows {
		s.Rows[i] = Row{Shard: i}
	}
	var since, missing int64
	for _, u := range units {
		row := &s.Rows[u.Shard]
		switch u.State {
		case Missing:
			row.Missing++
			missing += u.Weight + 1
		case Done:
			row.Done++
		case Rejected:
			row.Rejected++
		}
		if u.State != Missing && u.At.After(began) {
			since += u.Weight + 1
			if u.At.After(s.Ended) {
				s.Ended = u.At
			}
		}
	}
	s.Left = left(missing, since, now.Sub(began))
	return s
}

// Sum is the stage as a whole.
func (s Stage) Sum() Row {
	sum := Row{Shard: -1}
	for _, r := range s.Rows {
		sum.Done, sum.Missing, sum.Rejected = sum.Done+r.Done, sum.Missing+r.Missing, sum.Rejected+r.Rejected
	}
	return sum
}

func left(missing, since int64, took time.Duration) time.Duration {
	switch {
	case missing == 0:
		return 0
	case since == 0 || took <= 0:
		return -1
	}
	return time.Duration(float64(took) * float64(missing) / float64(since))
}
