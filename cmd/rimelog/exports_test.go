package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"rimelog/ingest/demofleet"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// An exportedFleet is a small invented fleet, ingested.
type exportedFleet struct {
	fleet  truth.Fleet
	points map[string][]truth.Point // by system
	values map[string]float64       // by system, column and time, as place says
}

// place names a value of the samples.
func place(system, column string, at time.Time) string {
	return fmt.Sprintf("%s %s %s", system, column, at.UTC().Format(time.RFC3339))
}

// visitsBy is a fleet of visits by every logger of the world, whose exports have the
// given quirks.
func visitsBy(quirks demofleet.Quirks) demofleet.Options {
	mix := demofleet.DemoMix()
	mix.Quirks, mix.OddFiles, mix.Slips, mix.Faults, mix.Visits.Sparse = quirks, false, demofleet.Slips{KGError: demofleet.Range{1, 1}}, demofleet.Faults{Unnoticed: 0.35}, 0
	return demofleet.Options{Seed: 33, Systems: 12, Years: 0.1, Logging: demofleet.ByVisits, Mix: &mix}
}

// exported makes and ingests a fleet.
func exported(t *testing.T, o demofleet.Options) exportedFleet {
	t.Helper()
	e := exportedFleet{points: map[string][]truth.Point{}, values: map[string]float64{}}
	dir := t.TempDir()
	var err error
	e.fleet, err = demofleet.Generate(t.Context(), o,
		func(name string, write func(io.Writer) error) error {
			var b bytes.Buffer
			to := filepath.Join(dir, filepath.FromSlash(name))
			if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
				return err
			}
			if err := write(&b); err != nil {
				return err
			}
			return os.WriteFile(to, b.Bytes(), 0o666)
		},
		func(f truth.File, p []truth.Point) error {
			e.points[f.System] = append(e.points[f.System], p...)
			return nil
		})
	if err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"ingest", "-workspace", dir}, &out, &errOut); code != exitDone && code != exitLeftOut {
		t.Fatalf("exit code %d: %s", code, errOut.String())
	}
	e.read(t, dir)
	return e
}

// read takes the samples' numbers.
func (e exportedFleet) read(t *testing.T, dir string) {
	t.Helper()
	st, err := store.OpenDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	data := dataset.New(st)
	for _, s := range e.fleet.Systems {
		g, err := data.Newest(t.Context(), dataset.SystemUnit(s.ID))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range g.Files {
			if f.Table != table.Samples().Name {
				continue
			}
			samples, err := data.ReadFile(t.Context(), f)
			if err != nil {
				t.Fatal(err)
			}
			times := samples.Times("time")
			for _, c := range table.Samples().Columns {
				if c.Name == "time" || c.Name == "running" || c.Name == "defrost" || !samples.Has(c.Name) {
					continue
				}
				for i, v := range samples.Floats(nil, c.Name) {
					if !math.IsNaN(v) {
						e.values[place(s.ID, c.Name, time.UnixMicro(times[i]))] = v
					}
				}
			}
		}
	}
}

// What every logger of the invented world writes is read as it truly was: with
// instruments that show no error and valves that do not hunt, the values at the
// moments of the true operating points are theirs, to the loggers' last digit.
func TestEveryLoggerIsReadAsItTrulyWas(t *testing.T) {
	o := visitsBy(nil)
	exact(o.Mix)
	e := exported(t, o)
	var loggers []string
	for _, f := range e.fleet.Files {
		loggers = append(loggers, f.Logger)
	}
	slices.Sort(loggers)
	if n := len(slices.Compact(loggers)); n != 5 {
		t.Errorf("%d loggers in the fleet, want all 5", n)
	}
	compared := 0
	for system, points := range e.points {
		for _, p := range points {
			for column, is := range map[string]struct{ value, off float64 }{
				// Half of the last digit, of °C and kW, and half of the table's step; discharge gas
				// follows with a lag of minutes.
				"outdoor_temp_c": {p.Outdoor, 0.0505}, "power_kw": {p.Input, 0.0055}, "discharge_temp_c": {p.Discharge, 1},
			} {
				got, there := e.values[place(system, column, p.Time)]
				if !there {
					continue // not logged, or between two samples
				}
				compared++
				if math.Abs(got-is.value) > is.off {
					t.Errorf("%s, %s: %s is %.3f, truly %.4f", system, p.Time.Format(time.DateTime), column, got, is.value)
				}
			}
		}
	}
	if compared < 300 {
		t.Errorf("only %d values were compared", compared)
	}
}

// exact leaves instruments without any error, and machines that always run evenly.
func exact(m *demofleet.Mix) {
	m.Sensors = demofleet.Sensors{TailGain: 1}
	m.Machines.Hunting, m.Machines.ElectronicHunt = demofleet.Range{}, demofleet.Range{}
	m.Visits.Standing, m.Visits.OpenHoses = 0, 0
	m.Changes.Setting, m.Changes.Part, m.Changes.Flow, m.Changes.Retrofit = 0, 0, 0, 0
}

// Loggers that stay when the clocks go back, one with its offset in every stamp and one
// without: no hour is lost, and none stands twice.
func TestClocksThatGoBackAreReadRight(t *testing.T) {
	o := visitsBy(nil)
	exact(o.Mix)
	o.Logging, o.Systems, o.Years, o.Interval = demofleet.Permanent, 2, 0.04, 5*time.Minute
	o.Start = time.Date(2023, 10, 22, 0, 0, 0, 0, time.UTC)
	e := exported(t, o)
	back := time.Date(2023, 10, 29, 1, 0, 0, 0, time.UTC)
	for system, points := range e.points {
		near := 0
		for _, p := range points {
			got, there := e.values[place(system, "outdoor_temp_c", p.Time)]
			if there && math.Abs(got-p.Outdoor) > 0.0505 {
				t.Fatalf("%s, %s: outdoors %.3f, truly %.4f", system, p.Time, got, p.Outdoor)
			}
			if d := p.Time.Sub(back).Abs(); there && d <= time.Hour {
				near++
			}
		}
		if near < 6 { // knots are 20 minutes apart at most
			t.Errorf("%s: %d of the values within an hour of the change are there", system, near)
		}
	}
}
