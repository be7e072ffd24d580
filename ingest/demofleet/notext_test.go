package demofleet

import (
	"bytes"
	"encoding/xml"
	"io"
	"testing"

	"github.com/xuri/excelize/v2"
)

// The spreadsheet opens in another program's reader with the cells of the log, and the
// page is well-formed.
func TestFilesThatAreNoText(t *testing.T) {
	s := &sheet{names: []string{"Time", "P1 <bar>"}, rows: [][]string{{"10:00", "2,5"}, {"10:01", "2,6"}}}
	f, err := excelize.OpenReader(bytes.NewReader(s.spreadsheet()))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := f.GetRows("Log")
	if err != nil || len(rows) != 3 || rows[0][1] != "P1 <bar>" || rows[2][1] != "2,6" {
		t.Errorf("read back: %q, %v", rows, err)
	}
	d := xml.NewDecoder(bytes.NewReader(s.webPage()))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
