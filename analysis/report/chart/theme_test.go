package chart

import (
	"encoding/json"
	"testing"
)

// What stands at an axis of any kind is written in a colour of the page's, which can be
// read in the dark too; the engine's own grey cannot.
func TestThemeColoursEveryAxis(t *testing.T) {
	b, err := Theme()
	if err != nil {
		t.Fatal(err)
	}
	type axis struct {
		AxisLabel struct{ Color string }
	}
	var theme struct{ TimeAxis, ValueAxis, LogAxis, CategoryAxis axis }
	if err := json.Unmarshal(b, &theme); err != nil {
		t.Fatal(err)
	}
	for kind, of := range map[string]axis{"time": theme.TimeAxis, "value": theme.ValueAxis, "log": theme.LogAxis, "category": theme.CategoryAxis} {
		if of.AxisLabel.Color != css("ink-2") {
			t.Errorf("the labels of an axis of %s are %q", kind, of.AxisLabel.Color)
		}
	}
}
