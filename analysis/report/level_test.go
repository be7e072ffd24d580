package report

import (
	"strings"
	"testing"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// The level of a receiver falls by percent, in all units of the reader: it stands on no wire
// of kelvins, nor in a column of them.
func TestALevelIsWrittenInPercent(t *testing.T) {
	l, err := say.New("en", say.Units{InchPound: true})
	if err != nil {
		t.Fatal(err)
	}
	f := table.Finding{Kind: drift.ChargeLoss, Feature: drift.Level, Size: -20.4, SizeLo: -24, SizeHi: -16.8}
	if got, want := moved(l, f), "Receiver level −20\u00a0% (−24 to −17\u00a0%)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	var r row
	if r.size(l, f.Feature, f.Size, f.SizeLo, f.SizeHi, 12); r.Size != "−20\u00a0%" || r.Wire != "" || r.SizeKey != "" {
		t.Errorf("row says %q, wire %q, key %q", r.Size, r.Wire, r.SizeKey)
	}
	cells := strings.Join(call{}.row(l, f, "", "", "", "", ""), "|")
	if !strings.Contains(cells, "|Receiver level −20 % (−24 to −17 %)||||") {
		t.Errorf("visits.csv says %q", cells)
	}
}
