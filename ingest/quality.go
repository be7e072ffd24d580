package ingest

import (
	"fmt"
	"slices"

	"rimelog/ingest/scan"
)

// Some exports say beside each value how good it is. Which words head such a column is
// common practice, no source; folded.
var (
	qualityWords = scan.WordSet("quality qual validity qualitat gute gultigkeit qualite validite calidad validez qualita validita kwaliteit qualidade kvalitet")
	statusWords  = scan.WordSet("status flag flags statut estado stato merkmal")
)

// saysQuality tells whether a column may say how good the values beside it are.
func (t title) saysQuality() bool {
	w := titleWords(t.text)
	return len(w) > 0 && (qualityWords[w[len(w)-1]] || statusWords[w[len(w)-1]])
}

// findQuality gives each column of values the one behind it that says how good they are.
// One column of a status alone is the machine's.
func (p *plan) findQuality() {
	var beside []*column
	sure := false
	for _, c := range p.columns {
		i := c.index + 1
		if c.kind != channelColumn && c.kind != extraColumn || i >= len(p.titles) || c.title.saysQuality() || !p.titles[i].saysQuality() || slices.Contains(p.time.columns, i) {
			continue
		}
		w := titleWords(p.titles[i].text)
		sure = sure || qualityWords[w[len(w)-1]]
		beside = append(beside, c)
	}
	if len(beside) < 2 && !sure {
		return
	}
	for _, c := range beside {
		c.quality = c.index + 1
		c.why = append(c.why, fmt.Sprintf("%q says how good its values are", p.columnName(c.quality)))
	}
}

// spoilt tells why a number is not taken, by what stands in the place for its quality.
func (s *pass) spoilt(v *cell, place int) (reason string, bad bool) {
	if place <= 0 || v.kind != numberCell {
		return "", false
	}
	text := s.row[place].text
	switch why, missing := scan.Marker(text); {
	case !missing || why == "empty" || why == "missing":
		return "", false
	}
	return fmt.Sprintf("the logger calls it %q", show(text)), true
}
