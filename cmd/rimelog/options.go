package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"strings"

	"rimelog/analysis"
	"rimelog/analysis/report"
	"rimelog/ingest/limits"
)

// optionsFile is where a workspace keeps its options; it may be missing.
const optionsFile = "rimelog.json"

// options steer the stages. What a section says goes into the fingerprints of
// that stage's jobs, so that a changed option re-makes what depends on it.
type options struct {
	Ingest   limits.Options   `json:"ingest"`
	Analysis analysis.Options `json:"analysis"`
	Report   report.Options   `json:"report"`
	Digest   digestOptions    `json:"digest"`
}

func defaultOptions() options {
	return options{
		Ingest: limits.DefaultOptions(), Analysis: analysis.DefaultOptions(), Report: report.DefaultOptions(),
		Digest: digestOptions{Groups: []group{}, SMTP: smtpServer{Port: 587}},
	}
}

// readOptions reads the options file of a workspace's files; path is where it lies, for
// messages.
func readOptions(files fs.FS, path string) (options, error) {
	var o options
	text, err := fs.ReadFile(files, optionsFile)
	if errors.Is(err, fs.ErrNotExist) {
		return o, nil
	}
	if err != nil {
		return o, err
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff")) // as some editors begin a file
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&o); err != nil {
		return o, usagef("%s: %v; `rimelog help options` lists what it may hold", path, err)
	}
	if err := errors.Join(o.Ingest.Validate(), o.Analysis.Validate(), o.Report.Validate(), o.Digest.Validate()); err != nil {
		return o, usagef("%s: %v", path, err)
	}
	return o, nil
}

// An option is one field of the options file.
type option struct {
	section string // "analysis.steady"
	name    string
	value   string // its default, as JSON
	doc     string
}

// explainedOptions lists every option with its default and meaning, from the fields and
// tags of the option structs.
func explainedOptions() []option { return optionsIn(reflect.ValueOf(defaultOptions()), "") }

func optionsIn(v reflect.Value, section string) (all []option) {
	for i := range v.NumField() {
		field := v.Type().Field(i)
		name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
		if doc := field.Tag.Get("doc"); doc != "" || v.Field(i).Kind() != reflect.Struct {
			value, err := json.Marshal(v.Field(i).Interface())
			if err != nil {
				value = []byte(err.Error())
			}
			all = append(all, option{section, name, string(value), doc})
			continue
		}
		all = append(all, optionsIn(v.Field(i), strings.TrimPrefix(section+"."+name, "."))...)
	}
	return all
}

// optionsHelp is what `rimelog help options` prints.
func optionsHelp() string {
	var b strings.Builder
	b.WriteString(`A workspace's rimelog.json steers its stages. It may be missing, and so may any section or
option in it: each then has the default shown here. ` + "`rimelog init`" + ` writes the file with all of them.
An option that changes re-makes what depends on it on the next run, and nothing else. Durations
are written as "90s", "5m", "4h".
`)
	section := ""
	for _, o := range explainedOptions() {
		if o.section != section {
			section = o.section
			fmt.Fprintf(&b, "\n%s\n", section)
		}
		fmt.Fprintf(&b, "  %-18s %-10s %s\n", o.name, o.value, o.doc)
	}
	return b.String()
}
