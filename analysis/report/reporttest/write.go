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
	var errs []error
	for name, draw := range map[string]func(report.Fleet) ([]byte, error){
		"index.html": w.Index, "visits.html": w.Visits, "visits.csv": w.VisitsCSV,
		"leaks.html": w.Leaks, "seasons.html": w.Seasons, "quality.html": w.Quality, "report.json": report.Fleet.Results, "method.html": w.Method, "leak-checks.ics": report.Fleet.Calendar, "record-book.csv": report.Fleet.BookCSV,
	} {
		b, err := draw(f)
		errs = append(errs, err, put(dir, name, b))
	}
	for i, s := range f.Systems {
		if i > 0 {
			s.Before = f.Systems[i-1].Register.ID
		}
		if i+1 < len(f.Systems) {
			s.After = f.Systems[i+1].Register.ID
		}
		for path, draw := range map[string]func(report.System, report.Made) ([]byte, error){
			report.SystemPath(s.Register.ID): w.System, report.SheetPath(s.Register.ID): w.Sheets, report.CardPath(s.Register.ID): w.Card,
		} {
			page, err := draw(s, f.Made)
			errs = append(errs, err, put(dir, path, page))
		}
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
