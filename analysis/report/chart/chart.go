package chart

import "time"

// A Chart is one figure of a page.
type Chart struct {
	ID      string // unique on its page: letters, digits and hyphens
	Title   string // what is drawn: "Subcooling over the visits"
	Finding string // what it shows, as a sentence
	About   string // number of readings, period, meaning of bands, what was left out
	Group   string // charts of one group zoom together; empty for none
	Tall    bool   // whether it needs more height than others
	Keys    []Key  // what the marks mean
	Option  []byte // the options as JSON, safe to stand inside a script element
	Table   Table  // the figures it is drawn from
}

// A Key explains one kind of mark.
type Key struct {
	Mark string // a mark that the page's style draws: "dot", "ring", "band", ...
	Text string
}

// An Event is a service act or another thing that happened to the system.
type Event struct {
	At    time.Time
	Text  string // what was done, in a few words
	Reset bool   // whether a new baseline starts with it
}

// A Span is a stretch of time.
type Span struct{ From, To time.Time }

// Wall is the reading of the wall clock in the zone at t, as milliseconds that a
// chart shows when told that they are UTC. Browsers know only their own zone.
func Wall(t time.Time, zone *time.Location) int64 {
	_, offset := t.In(zone).Zone()
	return t.UnixMilli() + int64(offset)*1000
}
