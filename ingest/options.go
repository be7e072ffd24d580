package ingest

import (
	"errors"
	"fmt"
)

// Options steers ingest. The zero value is the default.
type Options struct {
	// LineLimit is the longest line that is read, in bytes; longer lines are
	// quarantined. Default 1 MiB.
	LineLimit int `json:"line_limit,omitempty"`
	// ColumnLimit is the most columns a file may have. Default 4096.
	ColumnLimit int `json:"column_limit,omitempty"`
	// SystemLimit is the most systems a file may hold. Default 64.
	SystemLimit int `json:"system_limit,omitempty"`
	// RatioLimit is how many times its size an archive may unpack to. Default 200.
	RatioLimit int `json:"ratio_limit,omitempty"`
	// UnpackedLimit is how many megabytes a file may unpack to. Default 1024.
	UnpackedLimit int `json:"unpacked_limit_mb,omitempty"`
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

func (o Options) lineLimit() int   { return orDefault(o.LineLimit, 1<<20) }
func (o Options) columnLimit() int { return orDefault(o.ColumnLimit, 4096) }
func (o Options) systemLimit() int { return orDefault(o.SystemLimit, 64) }

func (o Options) ratioLimit() int { return orDefault(o.RatioLimit, 200) }

func (o Options) unpackedLimit() int64 { return int64(orDefault(o.UnpackedLimit, 1<<10)) << 20 }

func orDefault(v, def int) int {
	if v == 0 {
		return def
	}
	return v
}
