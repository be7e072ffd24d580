package reporttest

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"

	"rimelog/analysis/report"
)

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }

// Write puts the whole report of a fleet into a folder, as a run would.
func Write(dir string, f report.Fleet, o report.Options) error {
	w, err := report.NewWriter(o)
	if err != nil {
		return err
	}
	index, err := w.Index(f)
	if err != nil {
		return err
	}
	visits, err := w.Visits(f)
	if err != nil {
		return err
	}
	list, err := f.VisitsCSV()
	if err != nil {
		return err
	}
	errs := []error{put(dir, "index.html", index), put(dir, "visits.html", visits), put(dir, "visits.csv", list)}
	for _, s := range f.Systems {
		page, err := w.System(s, f.Made)
		errs = append(errs, err, put(dir, report.SystemPath(s.Register.ID), page))
	}
	if assets, err := report.Assets(); err == nil && !o.Plain {
		for _, a := range assets {
			errs = append(errs, put(dir, a.Path, a.Bytes))
		}
	}
	return errors.Join(errs...)
}

func put(dir, name string, b []byte) error {
	path := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, b, 0o644)
}
