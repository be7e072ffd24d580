package demofleet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"math/rand/v2"
	"strings"
)

// noText is a log that was saved as another kind of file and named like a table: nobody
// can read it as one.
func noText(what string, save func(*sheet) []byte) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		if rec.encoded || rec.pack != nil || rec.split != nil || !rec.onSheet(save) {
			return false
		}
		rec.encoded, rec.dialect.first, rec.trap = true, "", what
		return true
	}
}

// lines are the table's cells, the header first.
func (s *sheet) lines() [][]string {
	all := [][]string{s.names}
	if s.units != nil {
		all = append(all, s.units)
	}
	return append(append(all, s.rows...), s.footer...)
}

func escaped(cell string) string {
	var b strings.Builder
	if xml.EscapeText(&b, []byte(cell)) != nil {
		return ""
	}
	return b.String()
}

// webPage is the table as a page.
func (s *sheet) webPage() []byte {
	var b bytes.Buffer
	b.WriteString("<html><body><table>\n")
	for _, l := range s.lines() {
		b.WriteString("<tr>")
		for _, c := range l {
			b.WriteString("<td>" + escaped(c) + "</td>")
		}
		b.WriteString("</tr>\n")
	}
	b.WriteString("</table></body></html>\n")
	return b.Bytes()
}

// Parts of an Office Open XML workbook with one sheet (ECMA-376, part 1).
const (
	partTypes = `<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>` +
		`<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>`
	relations = `<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/`
	workbook = `<?xml version="1.0" encoding="UTF-8"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" ` +
		`xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Log" sheetId="1" r:id="r1"/></sheets></workbook>`
	worksheet = `<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`
)

// spreadsheet is the table as a workbook.
func (s *sheet) spreadsheet() []byte {
	var rows strings.Builder
	rows.WriteString(worksheet)
	for _, l := range s.lines() {
		rows.WriteString("<row>")
		for _, c := range l {
			rows.WriteString(`<c t="inlineStr"><is><t>` + escaped(c) + "</t></is></c>")
		}
		rows.WriteString("</row>")
	}
	rows.WriteString("</sheetData></worksheet>")
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, part := range [][2]string{
		{"[Content_Types].xml", partTypes},
		{"_rels/.rels", relations + `officeDocument" Target="xl/workbook.xml"/></Relationships>`},
		{"xl/_rels/workbook.xml.rels", relations + `worksheet" Target="worksheets/sheet1.xml"/></Relationships>`},
		{"xl/workbook.xml", workbook}, {"xl/worksheets/sheet1.xml", rows.String()},
	} {
		if f, err := w.Create(part[0]); err == nil {
			_, err = f.Write([]byte(part[1]))
			if err != nil {
				return nil
			}
		}
	}
	if w.Close() != nil {
		return nil
	}
	return b.Bytes()
}
