package pass

import (
	"strings"

	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/scan"
)

// summaryWords name what is worked out of other lines, in the eight languages, folded.
// What stands beside one is no reading, whatever time it gives: that of an extreme, or
// of the export.
var summaryWords = scan.WordSet(`min minimum max maximum mean avg average std stdev sum total count range
	mittel mittelwert summe gesamt anzahl durchschnitt kleinstwert hochstwert
	moyenne somme minimo massimo maximo media medio promedio suma totale somma
	gemiddelde som totaal aantal soma medel medelvarde summa antal`)

// meanWords are those of them that a logger writes beside every line as well.
var meanWords = scan.WordSet("mean avg average mittel mittelwert durchschnitt moyenne media medio promedio gemiddelde medel medelvarde")

// summaryWord gives the word of a cell that names a summary, folded.
func summaryWord(cell []byte) (string, bool) {
	w := strings.TrimRight(scan.FoldWord(string(scan.Trim(cell))), " :=")
	return w, summaryWords[w]
}

// strayData tells whether a line that does not stand as the data do holds a time and a number
// all the same, and is no summary: it must not pass for a footer.
func strayData(cells [][]byte) bool {
	if len(cells) == 0 {
		return false
	}
	if _, ok := summaryWord(cells[0]); ok {
		return false
	}
	stamps, numbers := 0, 0
	for _, c := range cells {
		switch dialect.KindOf(c) {
		case dialect.StampCell:
			if s, ok := clock.ParseStamp(c); ok && s.HasDate {
				stamps++
			}
		case dialect.NumberCell:
			numbers++
		}
	}
	return stamps > 0 && numbers > 0
}

const strayReason = "a time and numbers that do not stand as in the lines above"

// summarises tells whether a line of data is labelled as a summary of others in its
// first column: as an extreme or a sum, or as a mean where the line before is not.
func (s *Pass) summarises() (word string, ok bool) {
	if len(s.split) == 0 || s.fields[0].time || s.row[0].kind != dialect.TextCell {
		return "", false
	}
	before := s.label
	s.label, ok = summaryWord(s.row[0].text)
	return s.label, ok && (!meanWords[s.label] || before != "" && before != s.label)
}
