package register

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// ReadingRows is the canonical text of what reading an upload for a system
// depends on: the system's zone, its altitude where the upload may hold gauge
// pressures, and its channel rows for that upload, without their instruments. The upload
// is its path below uploads/.
func (r *Register) ReadingRows(system, upload string, gauge bool) string {
	s, ok := r.System(system)
	if !ok {
		return ""
	}
	rows := r.Channels(system, upload, time.Time{})
	key := strconv.AppendBool([]byte(foldID(system)), gauge)
	for _, c := range rows {
		key = strconv.AppendInt(append(key, ' '), int64(c.Line), 10)
	}
	text, known := r.reading.Load(string(key))
	if !known {
		text, _ = r.reading.LoadOrStore(string(key), r.readingText(s, rows, gauge))
	}
	return text.(string)
}

// readingText is that of some of a system's channel rows; the files of a logger that stays
// have the same, thousands of times.
func (r *Register) readingText(s System, rows []Channel, gauge bool) string {
	columns := []string{"system", "zone"}
	if gauge {
		columns = append(columns, "altitude_m")
	}
	lines := []string{systemForm().canonical(&s, columns...), "zone rules " + r.rules[s.Zone] + "\n"}
	form := channelForm()
	for _, c := range rows {
		lines = append(lines, form.canonical(&c,
			"system", "file", "column", "channel", "index", "unit", "reference", "sign", "valid_from", "valid_to"))
	}
	return strings.Join(lines, "")
}

// ReadingBasis is the canonical text of all that claims and readings of uploads depend on:
// while it is the same, ReadingRows are.
func (r *Register) ReadingBasis() string {
	var b strings.Builder
	for _, s := range r.Systems {
		b.WriteString(r.readingText(s, r.channels[foldID(s.ID)], true))
	}
	return b.String()
}

// AnalysisRows is the canonical text of what analysing a system depends on: its
// row without the names for people and what only records need, its events
// likewise, its channel rows that name instruments, and those instruments.
func (r *Register) AnalysisRows(system string) string {
	s, ok := r.System(system)
	if !ok {
		return ""
	}
	form := systemForm()
	columns := slices.DeleteFunc(form.names(), func(name string) bool { return forPeople(name) || forRecords(name) })
	lines := []string{form.canonical(&s, columns...)}
	events := eventForm()
	columns = slices.DeleteFunc(events.names(), forRecords)
	for _, e := range standing(r.events[foldID(s.ID)]) {
		lines = append(lines, events.canonical(&e, columns...))
	}
	return strings.Join(append(lines, r.instrumentRows(s.ID)...), "")
}

// forPeople tells the columns that only people read.
func forPeople(column string) bool {
	return column == "site" || column == "name" || column == "area"
}

// forRecords tells the columns that only the bookkeeping of refrigerant reads.
func forRecords(column string) bool {
	switch column {
	case "charge_low_kg", "charge_high_kg", "residential", "jurisdiction", "use",
		"reason", "outcome", "person_certificate", "facility", "facility_certificate", "record", "corrects":
		return true
	}
	return false
}

// RecordRows is the canonical text of what the bookkeeping of a system depends on:
// its row and all its events, corrected ones too, each with its line.
func (r *Register) RecordRows(system string) string {
	s, ok := r.System(system)
	if !ok {
		return ""
	}
	var b strings.Builder
	systems, events := systemForm(), eventForm()
	b.WriteString(systems.canonical(&s))
	for _, e := range r.events[foldID(s.ID)] {
		fmt.Fprintf(&b, "%d %d %s", e.Line, e.CorrectedBy, events.canonical(&e))
	}
	return b.String()
}

func (r *Register) eventRows(system string) []string {
	var lines []string
	form := eventForm()
	for _, e := range r.events[foldID(system)] {
		lines = append(lines, form.canonical(&e))
	}
	return lines
}

// instrumentRows are a system's channel rows that name instruments, and these.
func (r *Register) instrumentRows(system string) []string {
	var lines []string
	channels, instruments := channelForm(), instrumentForm()
	for _, c := range r.channels[foldID(system)] {
		if c.Instrument == "" {
			continue
		}
		lines = append(lines, channels.canonical(&c))
		if i, ok := r.Instrument(c.Instrument); ok {
			lines = append(lines, instruments.canonical(&i))
		}
	}
	slices.Sort(lines)
	return slices.Compact(lines)
}

// FleetRows is the canonical text of the whole register, and of what is wrong in
// it with the places.
func (r *Register) FleetRows() string {
	r.whole.Do(func() { r.fleetText = r.fleetRows() })
	return r.fleetText
}

func (r *Register) fleetRows() string {
	var b strings.Builder
	systems, channels, instruments := systemForm(), channelForm(), instrumentForm()
	for _, s := range r.Systems {
		b.WriteString(systems.canonical(&s))
		for _, c := range r.channels[foldID(s.ID)] {
			b.WriteString(channels.canonical(&c))
		}
		b.WriteString(strings.Join(r.eventRows(s.ID), ""))
		b.WriteString(r.answerRows(s.ID))
	}
	for _, i := range r.Instruments {
		b.WriteString(instruments.canonical(&i))
	}
	tariffs := tariffForm()
	for _, t := range r.tariffs {
		b.WriteString(tariffs.canonical(&t))
	}
	b.WriteString(limitText(r.ownLimits))
	for _, p := range r.Problems {
		b.WriteString(p.Error() + "\n")
	}
	return b.String()
}

// RecordText is the canonical text of an event, for its hash in an audit trail.
func (e Event) RecordText() string { return strings.TrimSuffix(eventForm().canonical(&e), "\n") }

// RecordText is the canonical text of a system's row, for its hash in an audit trail.
func (s System) RecordText() string { return strings.TrimSuffix(systemForm().canonical(&s), "\n") }

// Cell is what the event's row has in a column, as the writer writes it; empty where it
// is unknown.
func (e Event) Cell(name string) string { return eventForm().cell(&e, name) }

// Cell is what the system's row has in a column, as the writer writes it; empty where it
// is unknown.
func (s System) Cell(name string) string { return systemForm().cell(&s, name) }
