package register

import (
	"fmt"
	"path"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	"rimelog/pipeline/table"
)

// A Channel says what a column of a system's files measures: a row of
// channels.csv.
type Channel struct {
	System     string
	File       string // pattern of paths below uploads/; empty means all files of the system
	Column     string // the column's header as found, or #3 for the third column
	Channel    string // a samples column without its unit (suction_pressure), [Extra] or [None]
	Index      int    // from 1, where the circuit has several such places
	Unit       string // as people write it; empty means as the file says
	Reference  Reference
	Sign       int       // +1, or -1 where the logger counts the other way
	Instrument string    // serial number; empty unknown
	From       time.Time // first moment this holds; zero means always before To
	To         time.Time // first moment this holds no longer; zero means ever since

	Line int // of channels.csv
}

// Channel names that are no column of samples.
const (
	Extra = "extra" // keep the column in the long table of extras
	None  = "none"  // leave the column out
)

// Reference is what a pressure is measured against.
type Reference uint8

// The pressure references.
const (
	ReferenceUnknown Reference = iota
	Gauge                      // above the air around
	Absolute                   // above vacuum
)

// ValidAt tells whether the row holds at a time.
func (c Channel) ValidAt(t time.Time) bool {
	return (c.From.IsZero() || !t.Before(c.From)) && (c.To.IsZero() || t.Before(c.To))
}

// channelForm is channels.csv.
func channelForm() form[Channel] {
	return form[Channel]{
		name:   "channels.csv",
		doc:    "one line for each column of a logger file whose header does not say what it is",
		fresh:  func(line int) Channel { return Channel{Index: 1, Sign: 1, Line: line} },
		line:   func(c *Channel) int { return c.Line },
		system: func(c *Channel) string { return c.System },
		columns: []column[Channel]{
			textColumn("system", "ID of the circuit, as in systems.csv", func(c *Channel) *string { return &c.System }),
			{
				name: "file", doc: "files below uploads/, with * ? for parts of a name and ** for any folders; empty: all files of the system",
				read:  func(c *Channel, in cell) *fault { return readPattern(&c.File, in.text) },
				write: func(c *Channel) string { return c.File },
			},
			textColumn("column", "the column's header as found, or #3 for the third column", func(c *Channel) *string { return &c.Column }),
			{
				name: "channel", doc: "what it measures; extra to keep it apart, none to leave it out",
				words: append(vocabulary{""}, namesOf(channelNames())...),
				read:  func(c *Channel, in cell) *fault { return readChannel(&c.Channel, in.text) },
				write: func(c *Channel) string { return c.Channel },
			},
			{
				name: "index", doc: "which of several alike, from 1",
				read:  func(c *Channel, in cell) *fault { return readIndex(&c.Index, in) },
				write: func(c *Channel) string { return wholeUnless(c.Index, 1) },
			},
			textColumn("unit", "unit of the file's figures, such as bar, or bar decimal comma where the mark is open; empty: as the file says. Of a time column: day first, month first, year first, a zone, or start 2026-05-25 12:05:54", func(c *Channel) *string { return &c.Unit }),
			wordColumn("reference", "what a pressure is measured against", referenceWords, func(c *Channel) *Reference { return &c.Reference }),
			{
				name: "sign", doc: "-1 where the logger counts the other way",
				read:  func(c *Channel, in cell) *fault { return readSign(&c.Sign, in.text) },
				write: func(c *Channel) string { return wholeUnless(c.Sign, 1) },
			},
			textColumn("instrument", "serial number of the sensor", func(c *Channel) *string { return &c.Instrument }),
			dateColumn("valid_from", "first day, or first moment, this holds",
				func(c *Channel, t time.Time, _ bool) { c.From = t },
				func(c *Channel) string { return moments(c.From, !startsDay(c.From)) }),
			dateColumn("valid_to", "last day, or end, of this",
				func(c *Channel, t time.Time, hasTime bool) { c.To = pastEnd(t, hasTime) },
				func(c *Channel) string { return writeEnd(c.To) }),
		},
	}
}

// pastEnd is the first moment after an end: that of the next day after a date.
func pastEnd(t time.Time, hasTime bool) time.Time {
	if hasTime {
		return t
	}
	return t.AddDate(0, 0, 1)
}

// writeEnd writes an end so that pastEnd gives it back.
func writeEnd(t time.Time) string {
	if t.IsZero() || !startsDay(t) {
		return moments(t, true)
	}
	return t.AddDate(0, 0, -1).Format(time.DateOnly)
}

// readPattern takes a file pattern as people write it: with backslashes, or from
// the workspace on.
func readPattern(to *string, text string) *fault {
	pattern := strings.TrimPrefix(strings.ReplaceAll(text, `\`, "/"), "./")
	pattern = strings.TrimPrefix(pattern, "uploads/")
	if _, err := path.Match(pattern, ""); err != nil {
		return &fault{"not a file pattern", "write a path below uploads/ with * for any part of a name; [ needs its ]"}
	}
	*to = pattern
	return nil
}

var placeInFile = regexp.MustCompile(`^#[1-9][0-9]*$`)

// readChannel takes the name of a channel, with or without its unit.
func readChannel(to *string, text string) *fault {
	name := normalName(text)
	names := channelNames()
	for _, known := range names {
		if name == known.name || name == known.column {
			*to = known.name
			return nil
		}
	}
	remedy := "write a column of samples without its unit, such as suction_pressure; or extra, or none"
	if near := Nearest(name, namesOf(names)); near != "" {
		remedy = "write " + near
	}
	return &fault{"not a channel", remedy}
}

type channelName struct{ name, column string }

func namesOf(channels []channelName) []string {
	names := make([]string, len(channels))
	for i, c := range channels {
		names[i] = c.name
	}
	return names
}

// channelNames lists the channels, each with its column in samples.
var channelNames = sync.OnceValue(func() []channelName {
	names := []channelName{{Extra, Extra}, {None, None}}
	for _, c := range table.Samples().Columns {
		names = append(names, channelName{strings.TrimSuffix(c.Name, unitSuffix[c.Unit]), c.Name})
	}
	return names
})

// unitSuffix is how a unit ends the name of a samples column.
var unitSuffix = map[string]string{
	"": "", "kPa": "_kpa", "°C": "_c", "%": "_pct", "kW": "_kw", "kWh": "_kwh",
	"m³/h": "_m3_h", "kg/s": "_kg_s", "A": "_a", "V": "_v", "Hz": "_hz",
}

// The most places of one kind that a circuit is believed to have.
const maxIndex = 99

func readIndex(to *int, c cell) *fault {
	i, err := strconv.Atoi(c.text)
	if err != nil || i < 1 || i > maxIndex {
		return &fault{"not an index", fmt.Sprintf("write a whole number from 1 to %d, or leave the cell empty for 1", maxIndex)}
	}
	*to = i
	return nil
}

func readSign(to *int, text string) *fault {
	switch strings.ReplaceAll(text, "\u2212", "-") {
	case "1", "+1", "+", "plus":
		*to = 1
	case "-1", "-", "minus":
		*to = -1
	default:
		return &fault{"not a sign", "write 1 or -1, or leave the cell empty for 1"}
	}
	return nil
}

func wholeUnless(i, usual int) string {
	if i == usual {
		return ""
	}
	return strconv.Itoa(i)
}
