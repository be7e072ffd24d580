package limits

import (
	"strings"
	"testing"
)

func TestOptionsSayEverythingThatIsWrong(t *testing.T) {
	err := Options{LineLimit: 5, ColumnLimit: 1}.Validate()
	if err == nil || !strings.Contains(err.Error(), "line_limit") || !strings.Contains(err.Error(), "column_limit") {
		t.Errorf("%v", err)
	}
	if err := (Options{}).Validate(); err != nil {
		t.Error(err)
	}
}
