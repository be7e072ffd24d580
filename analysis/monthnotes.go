package analysis

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
)

// A monthNotes is a note that a system has for each month, as JSON, by the month's name. As text
// it has a line for each, so that those of closed months go from night to night without being
// read.
type monthNotes map[string]string

// readMonthNotes takes the text apart.
func readMonthNotes(text string) monthNotes {
	out := monthNotes{}
	for line := range strings.Lines(text) {
		if month, said, ok := strings.Cut(strings.TrimSuffix(line, "\n"), " "); ok {
			out[month] = said
		}
	}
	return out
}

// text puts it together again, by month.
func (b monthNotes) text() string {
	var out strings.Builder
	length := 0
	for month, said := range b {
		length += len(month) + len(said) + len(" \n")
	}
	out.Grow(length) // a megabyte after years
	for _, month := range slices.Sorted(maps.Keys(b)) {
		if b[month] != "" {
			out.WriteString(month)
			out.WriteByte(' ')
			out.WriteString(b[month])
			out.WriteByte('\n')
		}
	}
	return out.String()
}

// put notes the facts of a month, if it has any.
func (b monthNotes) put(month string, facts []trust.Facts) error {
	if len(facts) == 0 {
		return nil
	}
	text, err := json.Marshal(facts)
	b[month] = string(text)
	return err
}

// facts are those of a month, from a note of a file.
func (b monthNotes) facts(of dataset.File, month string) (facts []trust.Facts, err error) {
	if text := b[month]; text != "" {
		err = unmarshal(of, month, text, &facts)
	}
	return facts, err
}
