package score

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Read takes a folder of truth and the dataset of the workspace it belongs to. What
// was observed of a system is read when the score asks for it.
func Read(ctx context.Context, truthFS fs.FS, data *dataset.Dataset) (Input, error) {
	in := Input{Observe: func(id string) (Observed, error) {
		o, err := observed(ctx, truthFS, data, id)
		if err != nil {
			err = fmt.Errorf("system %s: %w", id, err)
		}
		return o, err
	}}
	var err error
	if in.Truth, err = truth.Load(truthFS); err != nil {
		return in, fmt.Errorf("truth: %w", err)
	}
	if in.Findings, err = rows[table.Finding](ctx, data, table.Findings().Path("", "")); err != nil {
		return in, err
	}
	if in.Problems, err = rows[table.Problem](ctx, data, table.Quality().Path("", "")); err != nil {
		return in, err
	}
	if in.Uploads, err = rows[table.Upload](ctx, data, table.Uploads().Path("", "")); err != nil {
		return in, err
	}
	in.Rankings, err = rows[table.Ranking](ctx, data, table.Rankings().Path("", ""))
	return in, err
}

func observed(ctx context.Context, truthFS fs.FS, data *dataset.Dataset, id string) (o Observed, err error) {
	if o.Points, err = points(truthFS, "points/"+id+".csv"); err != nil {
		return o, err
	}
	g, err := data.Newest(ctx, dataset.SystemUnit(id))
	if err != nil {
		return o, err
	}
	for _, f := range g.Files {
		switch f.Table {
		case table.Samples().Name:
			var times *frame.Frame
			if times, err = data.ReadFile(ctx, f, "time"); err == nil {
				o.Samples = append(o.Samples, times.Times("time")...)
			}
		case table.Windows().Name:
			err = more(ctx, data, f.Path, &o.Windows)
		case table.Visits().Name:
			err = more(ctx, data, f.Path, &o.Visits)
		case table.Trends().Name:
			err = more(ctx, data, f.Path, &o.Trends)
		case table.EnergyDays().Name:
			err = more(ctx, data, f.Path, &o.Days)
		case table.Seasons().Name:
			err = more(ctx, data, f.Path, &o.Seasons)
		case table.Savings().Name:
			err = more(ctx, data, f.Path, &o.Savings)
		}
		if err != nil {
			return o, err
		}
	}
	slices.Sort(o.Samples)
	return o, nil
}

func more[Row interface {
	table.Window | table.Visit | table.Trend | table.EnergyDay | table.Season | table.Saving
}](ctx context.Context, data *dataset.Dataset, path string, into *[]Row) error {
	list, err := rows[Row](ctx, data, path)
	*into = append(*into, list...)
	return err
}

// rows reads a table's file; none where it is not there.
func rows[Row any](ctx context.Context, data *dataset.Dataset, path string) ([]Row, error) {
	f, err := data.ReadTable(ctx, path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return frame.Rows[Row](f)
}

// points reads the true operating points of a system, in time order and each time
// once; none where it was never logged.
func points(truthFS fs.FS, name string) ([]truth.Point, error) {
	f, err := truthFS.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(lines) == 0 {
		return nil, fmt.Errorf("%s: no header", name)
	}
	var list []truth.Point
	for i, cells := range lines[1:] {
		p, err := point(lines[0], cells)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, i+2, err)
		}
		list = append(list, p)
	}
	slices.SortStableFunc(list, func(a, b truth.Point) int { return a.Time.Compare(b.Time) })
	return slices.CompactFunc(list, func(a, b truth.Point) bool { return a.Time.Equal(b.Time) }), nil
}

// point reads what the score needs of an operating point.
func point(header, cells []string) (p truth.Point, err error) {
	var problems []error
	into := map[string]*float64{
		"subcooling_k": &p.Subcooling, "suction_superheat_k": &p.SuctionSuperheat, "level": &p.Level,
		"condensing_c": &p.Condensing, "evaporating_c": &p.Evaporating,
		"outdoor_c": &p.Outdoor, "source_c": &p.Source, "sink_c": &p.Sink,
	}
	for i, name := range header {
		if name == "time" {
			p.Time, err = time.Parse(time.RFC3339, cells[i])
		} else if to := into[name]; to != nil {
			*to, err = strconv.ParseFloat(cells[i], 64)
		}
		problems = append(problems, err)
	}
	return p, errors.Join(problems...)
}
