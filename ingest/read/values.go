package read

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"

	"rimelog/ingest/pass"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// WriteValues writes the samples of a reading as lines for people.
func WriteValues(w io.Writer, parts []pass.PartRows) error {
	out := bufio.NewWriter(w)
	columns := filledColumns(parts)
	writeHead(out, columns, len(parts) > 1)
	for _, p := range parts {
		writeRows(out, p, columns, len(parts) > 1)
	}
	return out.Flush()
}

// filledColumns lists the columns of samples in which some part has a value.
func filledColumns(parts []pass.PartRows) (list []table.Column) {
	for _, c := range sampleTable.Columns[1:] {
		for _, p := range parts {
			if p.Samples.Has(c.Name) {
				list = append(list, c)
				break
			}
		}
	}
	return list
}

func writeHead(out *bufio.Writer, columns []table.Column, several bool) {
	names := []string{sampleTable.Columns[0].Name}
	if several {
		names = append([]string{"system"}, names...)
	}
	for _, c := range columns {
		names = append(names, c.Name)
	}
	fmt.Fprintln(out, strings.Join(names, ",")) // a bufio.Writer keeps its error for Flush
}

func writeRows(out *bufio.Writer, p pass.PartRows, columns []table.Column, several bool) {
	var cells []func(i int) string
	for _, c := range columns {
		cells = append(cells, cellOf(p.Samples, c))
	}
	for i, t := range p.Samples.Times(sampleTable.Columns[0].Name) {
		if several {
			out.WriteString(p.System + ",")
		}
		out.WriteString(time.UnixMicro(t).UTC().Format("2006-01-02T15:04:05.999999Z"))
		for _, cell := range cells {
			out.WriteByte(',')
			out.WriteString(cell(i))
		}
		out.WriteByte('\n')
	}
}

// cellOf prints the values of a column, nothing for null.
func cellOf(f *frame.Frame, c table.Column) func(i int) string {
	valid := f.Valid(c.Name)
	var value func(i int) string
	switch c.Kind {
	case table.Fixed32:
		v, _ := f.Fixed32(c.Name)
		value = func(i int) string { return fixedText(int64(v[i]), c.Digits) }
	case table.Fixed64:
		v, _ := f.Fixed64(c.Name)
		value = func(i int) string { return fixedText(v[i], c.Digits) }
	default:
		b := f.Bits(c.Name)
		value = func(i int) string { return fmt.Sprint(b.At(i)) }
	}
	return func(i int) string {
		if !valid.At(i) {
			return ""
		}
		return value(i)
	}
}

// fixedText writes a mantissa with all of its digits: 363325 of three is 363.325.
func fixedText(mantissa int64, digits int) string {
	sign := ""
	if mantissa < 0 {
		sign, mantissa = "-", -mantissa
	}
	s := fmt.Sprintf("%0*d", digits+1, mantissa)
	return sign + s[:len(s)-digits] + "." + s[len(s)-digits:]
}
