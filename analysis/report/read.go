package report

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// asOfInput is the input of a fleet generation that holds the day it was judged on.
const asOfInput = "as of"

// logMonths is how many of the newest months of samples and windows a page may
// need: a visit lies within two at most.
const logMonths = 2

// pageFiles are the files that the page of a system is drawn from.
func pageFiles(g dataset.Generation) (out []dataset.File) {
	out = append(briefFiles(g), energyFiles(g)...)
	for _, t := range []table.Table{table.Losses(), table.Refusals(), table.Windows(), table.Running(), table.Samples()} {
		files := filesOf(g, t)
		out = append(out, files[max(0, len(files)-logMonths):]...)
	}
	return out
}

// energyFiles are the files that a system's rows of the page about energy are drawn
// from.
func energyFiles(g dataset.Generation) []dataset.File {
	return append(filesOf(g, table.Seasons()), filesOf(g, table.Savings())...)
}

// energyOf are the energy files of all systems.
func energyOf(units []unit) (out []dataset.File) {
	for _, u := range units {
		out = append(out, energyFiles(u.files)...)
	}
	return out
}

// briefFiles are the files that a system's row of the fleet page is drawn from.
func briefFiles(g dataset.Generation) []dataset.File {
	return append(filesOf(g, table.Visits()), filesOf(g, table.Trends())...)
}

// filesOf are the live files of a table, by month where it has months.
func filesOf(g dataset.Generation, t table.Table) (out []dataset.File) {
	for _, f := range g.Files {
		if f.Table == t.Name {
			out = append(out, f)
		}
	}
	return out
}

// made names the files and the steps that made them, in the order of the files.
func made(files []dataset.File) (m Made) {
	for _, f := range files {
		m.Inputs = append(m.Inputs, Input{f.Path, f.SHA256})
		if step, ok := stepOf(f); ok && !slices.Contains(m.Steps, step) {
			m.Steps = append(m.Steps, step)
		}
	}
	m.Steps = append(m.Steps, Page)
	return m
}

// stepOf is the step that made a file.
func stepOf(f dataset.File) (step pipeline.Step, ok bool) {
	name, version, _ := strings.Cut(f.Step, "/")
	n, err := strconv.Atoi(version)
	return pipeline.Step{Name: name, Version: n}, err == nil
}

// brief is what a system's row of the fleet page needs. It is read once for the system's page
// and those of the fleet, where this worker draws both: the fleet's need those of all systems
// together anyway.
func (s *Stage) brief(ctx context.Context, u unit) (System, error) {
	if known, ok := s.briefs.Load(u.id); ok {
		return known.(System), nil
	}
	out, err := s.readBrief(ctx, u)
	out = out.ready()
	if err == nil && s.owns(dataset.FleetUnit) {
		s.briefs.Store(u.id, out)
	}
	return out, err
}

func (s *Stage) readBrief(ctx context.Context, u unit) (out System, err error) {
	out.Register = register.NewSystem(u.id)
	if r, ok := s.register.System(u.id); ok {
		out.Register = r
	}
	out.Events = slices.Concat(s.register.Undated(u.id), s.register.Events(u.id))
	if out.Visits, err = rowsOf[table.Visit](ctx, s.data, filesOf(u.files, table.Visits())); err != nil {
		return System{}, err
	}
	var errs [4]error
	out.Restated, errs[3] = s.restated(ctx, u)
	out.Trends, errs[0] = rowsOf[table.Trend](ctx, s.data, filesOf(u.files, table.Trends()))
	out.Seasons, errs[1] = rowsOf[table.Season](ctx, s.data, filesOf(u.files, table.Seasons()))
	out.Savings, errs[2] = rowsOf[table.Saving](ctx, s.data, filesOf(u.files, table.Savings()))
	return out, errors.Join(errs[:]...)
}

// system reads what the page of a system needs.
func (s *Stage) system(ctx context.Context, u unit) (System, error) {
	out, err := s.brief(ctx, u)
	if err != nil {
		return System{}, err
	}
	out.Findings, out.Partly, out.Quality = u.findings, u.partly, u.quality
	out.Before, out.After, out.Baselines = u.before, u.after, u.baselines
	if out.Losses, err = rowsOf[table.Loss](ctx, s.data, filesOf(u.files, table.Losses())); err != nil {
		return System{}, err
	}
	if out.Refusals, err = rowsOf[table.Refusal](ctx, s.data, filesOf(u.files, table.Refusals())); err != nil {
		return System{}, err
	}
	if len(out.Visits) == 0 {
		return out, nil
	}
	windows := filesOf(u.files, table.Windows())
	if out.Windows, err = rowsOf[table.Window](ctx, s.data, windows[max(0, len(windows)-logMonths):]); err != nil {
		return System{}, err
	}
	phases := filesOf(u.files, table.Running())
	if out.Phases, err = rowsOf[table.Phase](ctx, s.data, phases[max(0, len(phases)-logMonths):]); err != nil {
		return System{}, err
	}
	samples := filesOf(u.files, table.Samples())
	out.Log, err = s.log(ctx, u.id, samples[max(0, len(samples)-logMonths):], out.Visits)
	return out, err
}

// log reads the samples of the latest visit, all parts of it.
func (s *Stage) log(ctx context.Context, id string, files []dataset.File, visits []table.Visit) (*Log, error) {
	stays := System{Visits: visits}.stays()
	from, to := stays[len(stays)-1].start(), stays[len(stays)-1].end()
	var frames []*frame.Frame
	for _, f := range files {
		if f.Path < table.Samples().Path(id, dataset.MonthOf(from.UnixMicro()).Name) {
			continue // a month before the visit
		}
		month, err := s.data.ReadFile(ctx, f, logColumns()...)
		if err != nil {
			return nil, err
		}
		frames = append(frames, month.Between("time", from.UnixMicro(), to.UnixMicro()+1))
	}
	if len(frames) == 0 {
		return nil, nil
	}
	all, err := frame.Concat(frames...)
	if err != nil || all.Rows() == 0 {
		return nil, err
	}
	return logOf(all), nil
}

// logColumns are the time and the channels that the charts show.
func logColumns() []string {
	cols := []string{"time"}
	for _, c := range table.Samples().Columns {
		for _, k := range logCharts {
			if strings.HasSuffix(c.Name, k.suffix) {
				cols = append(cols, c.Name)
			}
		}
	}
	return cols
}

// logOf takes the channels that were logged, in the table's order.
func logOf(f *frame.Frame) *Log {
	l := &Log{}
	for _, t := range f.Times("time") {
		l.Times = append(l.Times, time.UnixMicro(t).UTC())
	}
	for _, name := range logColumns()[1:] {
		if f.Has(name) {
			l.Columns = append(l.Columns, Column{name, f.Floats(nil, name)})
		}
	}
	return l
}

// findings are the findings by system.
func (s *Stage) findings(ctx context.Context) (map[string][]table.Finding, error) {
	rows, err := rowsOf[table.Finding](ctx, s.data, filesOf(s.fleet, table.Findings()))
	out := map[string][]table.Finding{}
	for _, f := range rows {
		out[f.System] = append(out[f.System], f)
	}
	return out, err
}

// baselines are what each feature of each system should be.
func (s *Stage) baselines(ctx context.Context) (map[string][]table.Baseline, error) {
	rows, err := fleetRows[table.Baseline](ctx, s, table.Baselines())
	out := map[string][]table.Baseline{}
	for _, b := range rows {
		out[b.System] = append(out[b.System], b)
	}
	return out, err
}

// partly are the uploads of which something was not taken, by system.
func (s *Stage) partly(ctx context.Context) (map[string][]table.Upload, error) {
	files := filesOf(s.fleet, table.Uploads())
	some, err := s.anyPartly(ctx, files)
	if err != nil || !some {
		return nil, err
	}
	rows, err := s.uploads()
	out := map[string][]table.Upload{}
	for _, u := range rows {
		if u.Quarantined == 0 && u.Refused == 0 {
			continue
		}
		for _, id := range strings.Fields(u.Systems) {
			out[id] = append(out[id], u)
		}
	}
	return out, err
}

// anyPartly tells whether there is any such upload: two columns say so, of the tables of the
// fleet the one that grows fastest.
func (s *Stage) anyPartly(ctx context.Context, uploads []dataset.File) (bool, error) {
	for _, file := range uploads {
		f, err := s.data.ReadFile(ctx, file, "quarantined_lines", "refused")
		if err != nil {
			return false, err
		}
		lines, _ := f.Ints("quarantined_lines")
		values, _ := f.Ints("refused")
		for i := range lines {
			if lines[i]+values[i] > 0 {
				return true, nil
			}
		}
	}
	return false, nil
}

// problems are what is left out or in doubt, by system.
func (s *Stage) problems(ctx context.Context) (map[string][]table.Problem, error) {
	rows, err := rowsOf[table.Problem](ctx, s.data, filesOf(s.fleet, table.Quality()))
	out := map[string][]table.Problem{}
	for _, p := range rows {
		if p.System != "" {
			out[p.System] = append(out[p.System], p)
		}
	}
	return out, err
}

// readFleet reads what the fleet page needs.
func (s *Stage) readFleet(ctx context.Context, units []unit) (f Fleet, err error) {
	for _, u := range units {
		system, err := s.brief(ctx, u)
		if err != nil {
			return Fleet{}, err
		}
		f.Systems = append(f.Systems, system)
	}
	var errs [8]error
	f.Rankings, errs[4] = rowsOf[table.Ranking](ctx, s.data, filesOf(s.fleet, table.Rankings()))
	f.Findings, errs[0] = rowsOf[table.Finding](ctx, s.data, filesOf(s.fleet, table.Findings()))
	f.Uploads, errs[1] = s.uploads()
	f.Quality, errs[2] = rowsOf[table.Problem](ctx, s.data, filesOf(s.fleet, table.Quality()))
	f.Records, errs[3] = s.books(ctx)
	f.Verdicts, errs[5] = fleetRows[table.UploadVerdict](ctx, s, table.UploadVerdicts())
	f.LogQuality, errs[6] = fleetRows[table.LogQuality](ctx, s, table.LogQualities())
	f.Across, errs[7] = s.across(ctx)
	f.AsOf, f.Past, f.Generation = s.asOf(f), s.compared, s.fleet.N
	return f, errors.Join(errs[:]...)
}

// asOf is the day the fleet was judged on; where its generation does not say, the
// day of the newest visit.
func (s *Stage) asOf(f Fleet) time.Time {
	if t, err := time.Parse(time.DateOnly, s.fleet.Inputs[asOfInput]); err == nil {
		return t
	}
	var newest time.Time
	for _, system := range f.Systems {
		for _, v := range system.Visits {
			if v.End.After(newest) {
				newest = v.End
			}
		}
	}
	return newest
}

// rowsOf reads the rows of files of one table, in their order.
func rowsOf[Row any](ctx context.Context, d *dataset.Dataset, files []dataset.File) (out []Row, err error) {
	for _, file := range files {
		f, err := d.ReadFile(ctx, file)
		if err != nil {
			return nil, err
		}
		rows, err := frame.Rows[Row](f)
		if err != nil {
			return nil, err
		}
		if out == nil {
			out = rows // most tables of a system are one file
			continue
		}
		out = append(out, rows...)
	}
	return out, nil
}
