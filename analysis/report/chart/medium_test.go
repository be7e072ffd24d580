package chart

import (
	"regexp"
	"testing"
)

var word = regexp.MustCompile(`(?i).{0,20}outdoors?\b.{0,20}`)

func TestMedium(t *testing.T) {
	for _, c := range []struct {
		medium             Medium
		at, quantity, head string
	}{
		{Medium{}, "12\u00a0°C outdoors", "outdoor temperature", "Outdoors, °C"},
		{Medium{Place: "condenser inlet water"}, "12\u00a0°C condenser inlet water", "condenser inlet water temperature", "Condenser inlet water, °C"},
	} {
		if got := c.medium.At(12.3, 0); got != c.at {
			t.Errorf("at: %q, want %q", got, c.at)
		}
		if got := c.medium.Quantity(); got != c.quantity {
			t.Errorf("quantity: %q, want %q", got, c.quantity)
		}
		if got := c.medium.Head(); got != c.head {
			t.Errorf("head: %q, want %q", got, c.head)
		}
	}
}

// Where water cools the condenser, nothing on a chart is said to be outdoors.
func TestChartsNameTheirMedium(t *testing.T) {
	c := course()
	c.Medium = Medium{Place: "condenser inlet water"}
	over, err := c.Draw()
	if err != nil {
		t.Fatal(err)
	}
	against, err := c.DrawOutdoor("outdoor", "", "")
	if err != nil {
		t.Fatal(err)
	}
	for _, drawn := range []Chart{over, against} {
		text := drawn.Title + string(drawn.Option)
		for _, row := range append(drawn.Table.Rows, drawn.Table.Head, []string{drawn.Table.Caption}) {
			for _, cell := range row {
				text += " " + cell
			}
		}
		if word.MatchString(text) {
			t.Errorf("%s speaks of the outdoors: %q", drawn.Title, word.FindString(text))
		}
	}
}
