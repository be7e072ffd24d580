package score

import (
	"slices"
	"strings"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// Kinds of what is no leak, besides the changes that the truth names.
const (
	otherInstruments = "instruments"
	winter           = "winter"
	recordedTopUp    = "recorded top-up"
)

// aftermath is how long after a change a false leak alarm counts as raised by it: two or
// three visits.
const aftermath = 120 * 24 * time.Hour

// known is for how long a machine must have been watched before a winter that counts:
// before that everything is new.
const known = 180 * 24 * time.Hour

// harmless is the share of what is no leak that a false leak alarm followed.
func (f fleet) harmless(alarms []alarm) map[string]Share {
	hits, n := map[string]int{}, map[string]int{}
	for _, name := range []string{otherInstruments, winter, recordedTopUp, truth.Setpoint, truth.Compressor, truth.Flow} {
		n[name] = 0
	}
	for _, s := range f.subjects {
		wrong := s.grouped(of(alarms, s.ID, truth.Leak)).wrong
		for name, cases := range f.changes(s) {
			n[name] += len(cases)
			hits[name] += followed(cases, wrong)
		}
	}
	out := map[string]Share{}
	for name := range n {
		out[name] = share(hits[name], n[name])
	}
	return out
}

// changes are when something happened to a system that is no leak, by what it is.
func (f fleet) changes(s *subject) map[string][]time.Time {
	out := map[string][]time.Time{otherInstruments: s.kitChanges(), winter: s.winters()}
	for _, c := range s.Changes {
		out[c.What] = append(out[c.What], c.At)
	}
	if !f.unwritten[s.ID] {
		out[recordedTopUp] = s.topUps()
	}
	return out
}

// followed counts the changes that a false alarm followed; each is laid to the latest
// change before it. Alarms have a date.
func followed(changes, wrong []time.Time) int {
	slices.SortFunc(changes, time.Time.Compare)
	hit := map[int]bool{}
	for _, at := range wrong {
		day := nextDay(at)
		for i := len(changes) - 1; i >= 0; i-- {
			if changes[i].Before(day) {
				if day.Sub(changes[i]) <= aftermath {
					hit[i] = true
				}
				break
			}
		}
	}
	return len(hit)
}

// kitChanges are the logs with another set of instruments than the one before.
func (s *subject) kitChanges() (list []time.Time) {
	for i, x := range s.files {
		if i > 0 && x.Kit != s.files[i-1].Kit {
			list = append(list, x.Start)
		}
	}
	return list
}

// winters are the beginnings of December of a record, once the machine is known.
func (s *subject) winters() (list []time.Time) {
	if len(s.files) == 0 {
		return nil
	}
	first, last := s.files[0].Start, s.files[len(s.files)-1].End
	for at := time.Date(first.Year(), time.December, 1, 0, 0, 0, 0, time.UTC); at.Before(last); at = at.AddDate(1, 0, 0) {
		if at.Sub(first) >= known {
			list = append(list, at)
		}
	}
	return list
}

// topUps are the additions of a system.
func (s *subject) topUps() (list []time.Time) {
	for _, e := range s.Episodes {
		switch {
		case e.Fault == truth.Overcharge && !e.Onset.After(s.end):
			list = append(list, e.Onset)
		case e.Fault == truth.Leak && strings.Contains(e.Note, "topped up") && !e.Ended.After(s.end):
			list = append(list, e.Ended)
		}
	}
	return list
}
