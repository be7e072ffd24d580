package table

import (
	"fmt"
	"io"
	"strings"
)

// commentWidth is how long a line of the package comment may be, in bytes.
const commentWidth = 110

// WriteComment writes the part of the package comment that lists tables: where each
// lies, what it holds, and its columns with their units.
func WriteComment(w io.Writer, tables []Table) error {
	var b strings.Builder
	b.WriteString("// # Tables\n//\n// Made from the tags by go generate. A unit stands in brackets.\n//\n")
	for _, t := range tables {
		wrap(&b, "//   - ", fmt.Sprintf("%s (%s): %s. Columns: %s.", t.Name, t.Layout(), t.Doc, t.inShort()))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// inShort names a table's columns with their units.
func (t Table) inShort() string {
	var names []string
	for _, c := range t.Columns {
		name := c.Name
		if c.Unit != "" {
			name += " [" + c.Unit + "]"
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// wrap writes an item of a list; lines after its first are indented as the first is.
func wrap(b *strings.Builder, first, text string) {
	line := first
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
			line += word
		case len(line)+1+len(word) > commentWidth:
			b.WriteString(line + "\n")
			line = "//     " + word
		default:
			line += " " + word
		}
	}
	b.WriteString(line + "\n")
}
