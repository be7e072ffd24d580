package main

import (
	"fmt"

	"rimelog/pipeline/dataset"
)

// lawsJSON holds both accounting laws with all their terms.
type lawsJSON struct {
	Lines struct {
		dataset.Lines
		Holds bool `json:"holds"`
	} `json:"lines"`
	Values struct {
		dataset.Values
		Holds bool `json:"holds"`
	} `json:"values"`
}

func laws(l dataset.Lines, v dataset.Values) (j lawsJSON) {
	j.Lines.Lines, j.Lines.Holds = l, l.Check() == nil
	j.Values.Values, j.Values.Holds = v, v.Check() == nil
	return j
}

func linesLaw(l dataset.Lines) string {
	return fmt.Sprintf("%d lines = %d data + %d header + %d preamble + %d footer + %d blank + %d quarantined + %d waiting%s",
		l.All, l.Data, l.Header, l.Preamble, l.Footer, l.Blank, l.Quarantined, l.Waiting, broken(l.Check()))
}

func valuesLaw(v dataset.Values) string {
	return fmt.Sprintf("%d values read = %d stored + %d duplicates + %d refused + %d missing markers%s",
		v.Read, v.Stored, v.Duplicates, v.Refused, v.Missing, broken(v.Check()))
}

func broken(err error) string {
	if err == nil {
		return ""
	}
	return "  <- does not add up"
}
