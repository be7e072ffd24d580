package main

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"
)

// Every option says what it does; a bare field would be a riddle in rimelog.json.
func TestEveryOptionIsExplained(t *testing.T) {
	for _, o := range explainedOptions() {
		if o.name == "" || o.doc == "" {
			t.Errorf("option %s.%s has no doc tag", o.section, o.name)
		}
	}
}

// The file that init writes is read back as the defaults it shows.
func TestDefaultOptionsAreReadBack(t *testing.T) {
	var b bytes.Buffer
	if err := writeDefaultOptions(&b); err != nil {
		t.Fatal(err)
	}
	var o options
	dec := json.NewDecoder(&b)
	dec.DisallowUnknownFields()
	if err := dec.Decode(&o); err != nil || !reflect.DeepEqual(o, defaultOptions()) {
		t.Errorf("read back %+v, %v", o, err)
	}
}
