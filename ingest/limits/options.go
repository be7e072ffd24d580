package limits

import (
	"errors"
	"fmt"
)

// Options steers ingest: its section of the options file. The zero value of a field
// stands for its default.
type Options struct {
	LineLimit     int `json:"line_limit,omitempty" doc:"the longest line that is read, in bytes; longer lines are quarantined"`
	ColumnLimit   int `json:"column_limit,omitempty" doc:"the most columns a file may have"`
	SystemLimit   int `json:"system_limit,omitempty" doc:"the most systems a file may hold"`
	RatioLimit    int `json:"ratio_limit,omitempty" doc:"how many times its size an archive may unpack to"`
	UnpackedLimit int `json:"unpacked_limit_mb,omitempty" doc:"how many megabytes a file may unpack to"`
}

// DefaultOptions returns the options with every field at its default.
func DefaultOptions() Options {
	return Options{LineLimit: 1 << 20, ColumnLimit: 4096, SystemLimit: 64, RatioLimit: 200, UnpackedLimit: 1 << 10}
}

// Validate reports everything that is wrong with the options.
func (o Options) Validate() error {
	var errs []error
	for _, f := range []struct {
		name      string
		value, at int
	}{
		{"ingest.line_limit", o.LineLimit, 1 << 10},
		{"ingest.column_limit", o.ColumnLimit, 2},
		{"ingest.system_limit", o.SystemLimit, 1},
		{"ingest.ratio_limit", o.RatioLimit, 1},
		{"ingest.unpacked_limit_mb", o.UnpackedLimit, 1},
	} {
		if f.value != 0 && f.value < f.at {
			errs = append(errs, fmt.Errorf("%s %d: want at least %d, or 0 for the default", f.name, f.value, f.at))
		}
	}
	return errors.Join(errs...)
}

// Changed returns the options with zero for every field at its default, so that a
// reading does not depend on whether a default was written out.
func (o Options) Changed() Options {
	def := DefaultOptions()
	for _, f := range []struct{ field, def *int }{
		{&o.LineLimit, &def.LineLimit}, {&o.ColumnLimit, &def.ColumnLimit}, {&o.SystemLimit, &def.SystemLimit},
		{&o.RatioLimit, &def.RatioLimit}, {&o.UnpackedLimit, &def.UnpackedLimit},
	} {
		if *f.field == *f.def {
			*f.field = 0
		}
	}
	return o
}

func (o Options) Line() int { return orDefault(o.LineLimit, DefaultOptions().LineLimit) }

func (o Options) Columns() int { return orDefault(o.ColumnLimit, DefaultOptions().ColumnLimit) }

func (o Options) Systems() int { return orDefault(o.SystemLimit, DefaultOptions().SystemLimit) }

func (o Options) Ratio() int { return orDefault(o.RatioLimit, DefaultOptions().RatioLimit) }

func (o Options) Unpacked() int64 {
	return int64(orDefault(o.UnpackedLimit, DefaultOptions().UnpackedLimit)) << 20
}

func orDefault(v, def int) int {
	if v == 0 {
		return def
	}
	return v
}
