package chart

import (
	"reflect"
	"testing"

	"rimelog/analysis/say"
)

// A column in which nothing is known goes, and is named; every figure stays.
func TestColumnsInWhichNothingIsKnown(t *testing.T) {
	got := Table{Caption: "Losses", Head: []string{"Part", "Cost a year", "Share", "Note"}, Rows: [][]string{{"fan", "–", "3", ""}, {"pump", "–", "–", ""}}}.Known(say.Locale{})
	want := Table{Caption: "Losses. Nothing is known of: cost a year, note", Head: []string{"Part", "Share"}, Rows: [][]string{{"fan", "3"}, {"pump", "–"}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if full := (Table{Caption: "x", Head: []string{"a"}, Rows: [][]string{{"1"}}}); !reflect.DeepEqual(full.Known(say.Locale{}), full) {
		t.Error("a table in which all is known is changed")
	}
}
