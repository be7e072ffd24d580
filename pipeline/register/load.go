package register

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// folder is where users see the register's files.
const folder = "register/"

// Load reads the register from its folder: fsys holds systems.csv, channels.csv,
// events.csv, instruments.csv, tariffs.csv, answers.csv and limits.csv at its root. An absent file is an empty table.
// What is wrong in the files is in Problems; the error is for a folder or file
// that cannot be read, and for a context that ended.
func Load(ctx context.Context, fsys fs.FS) (*Register, error) {
	l := loader{ctx: ctx, fsys: fsys, cells: map[place]bool{}}
	if err := l.list(); err != nil {
		return nil, fmt.Errorf("register: %w", err)
	}
	systems := loadFile(&l, systemForm())
	instruments := loadFile(&l, instrumentForm())
	channels := loadFile(&l, channelForm())
	events := loadFile(&l, eventForm())
	tariffs := loadFile(&l, tariffForm())
	answers := loadFile(&l, answerForm())
	limits := loadFile(&l, limitForm())
	if l.err != nil {
		return nil, fmt.Errorf("register: %w", l.err)
	}
	r := newRegister()
	c := checker{&l, r, headers{}}
	c.systems(systems)
	c.instruments(instruments)
	c.channels(channels)
	c.events(events)
	c.tariffs(tariffs)
	c.answers(answers)
	c.limits(limits)
	r.Problems = l.sorted()
	return r, nil
}

// A loader reads files and collects what is wrong in them.
type loader struct {
	ctx      context.Context
	fsys     fs.FS
	files    map[string]string // by lower-case name
	problems []*RowError
	cells    map[place]bool // cells with a problem
	err      error          // the first trouble with a file itself
}

// A place is a cell of a file.
type place struct {
	file   string
	line   int
	column string
}

// list finds the register's files, whatever the case of their names.
func (l *loader) list() error {
	l.files = map[string]string{}
	entries, err := fs.ReadDir(l.fsys, ".")
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if name := e.Name(); !e.IsDir() && name[0] != '.' && name[0] != '~' {
			l.take(name)
		}
	}
	return err
}

func (l *loader) take(name string) {
	lower := strings.ToLower(name)
	base, ext := strings.TrimSuffix(lower, path.Ext(lower)), path.Ext(lower)
	ours := slices.Contains(fileNames(), base+".csv")
	switch {
	case ext == ".csv" && !ours:
		l.add(RowError{File: folder + name, RowLost: true, Problem: "no table of the register has this name",
			Remedy: "call it one of " + strings.Join(fileNames(), ", ") + ", or take it out of the folder"})
	case ext == ".csv" && l.files[lower] != "":
		l.add(RowError{File: folder + name, RowLost: true, Problem: "the same table as " + l.files[lower], Remedy: "keep one of the two files"})
	case ext == ".csv":
		l.files[lower] = name
	case ours:
		l.add(RowError{File: folder + name, RowLost: true, Problem: "not a CSV file", Remedy: "save it as " + base + ".csv (CSV, UTF-8)"})
	}
}

func (l *loader) add(e RowError) {
	l.problems = append(l.problems, &e)
	l.cells[place{e.File, e.Line, e.Column}] = true
}

// sorted returns the problems by place.
func (l *loader) sorted() []*RowError {
	slices.SortStableFunc(l.problems, func(a, b *RowError) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), cmp.Compare(a.Problem, b.Problem))
	})
	return l.problems
}

// loadFile reads the rows of a file. A file that is not there has none.
func loadFile[Row any](l *loader, f form[Row]) []Row {
	name := l.files[f.name]
	if name == "" || l.err != nil {
		return nil
	}
	if l.err = l.ctx.Err(); l.err != nil {
		return nil
	}
	b, err := fs.ReadFile(l.fsys, name)
	if err != nil {
		l.err = err
		return nil
	}
	return parse(f, b, func(e RowError) {
		e.File = folder + name
		l.add(e)
	})
}

// parse reads the rows of a file's bytes.
func parse[Row any](f form[Row], b []byte, report func(RowError)) []Row {
	text, legacy := decode(b)
	if legacy {
		report(RowError{Problem: "not UTF-8; read as Windows-1252, so that letters with accents may be wrong", Remedy: "save it as CSV, UTF-8"})
	}
	s, ok := parseSheet(text, f.known, report)
	if !ok {
		return nil
	}
	if !s.has(f.columns[0].name) {
		report(RowError{Line: s.line, RowLost: true, Value: strings.Join(s.header, string(s.separator)),
			Problem: "no column is named " + f.columns[0].name + ", so the file was not read",
			Remedy:  "begin the file with a line of column names: " + strings.Join(f.names(), ",")})
		return nil
	}
	var rows []Row
	places := f.places(s, report)
	for _, r := range s.rows {
		if r.cell(places[0]) == ExampleRow {
			continue
		}
		if row, ok := f.read(s, places, r, report); ok {
			rows = append(rows, row)
		}
	}
	return rows
}

// places finds where each column of the form stands in the sheet, or -1.
func (f form[Row]) places(s sheet, report func(RowError)) []int {
	places := make([]int, len(f.columns))
	for i := range places {
		places[i] = -1
	}
	names := f.names()
	for at, header := range s.header {
		name := normalName(header)
		i := slices.Index(names, name)
		switch {
		case i < 0:
			s.reportUnknown(at, names, report)
		case places[i] >= 0:
			report(RowError{Line: s.line, Column: name, Problem: "stands twice in the header; the second is ignored", Remedy: "keep one of the two columns"})
		default:
			places[i] = at
		}
	}
	return places
}

// reportUnknown reports a column that the form does not have. An empty one, which
// spreadsheets like to append, is no problem.
func (s sheet) reportUnknown(at int, names []string, report func(RowError)) {
	header := strings.TrimSpace(s.header[at])
	filled := slices.ContainsFunc(s.rows, func(r row) bool { return r.cell(at) != "" })
	switch near := Nearest(normalName(header), names); {
	case header == "" && !filled:
	case header == "":
		report(RowError{Line: s.line, Problem: fmt.Sprintf("column %d has cells but no name, ignored", at+1), Remedy: "name it, or empty it"})
	case near != "":
		report(RowError{Line: s.line, Column: header, Problem: "unknown column, ignored", Remedy: "call it " + near})
	default:
		report(RowError{Line: s.line, Column: header, Problem: "unknown column, ignored", Remedy: "take it out, or put what it says into a column that the file knows"})
	}
}

// read reads one row. A row with more cells than the header is left out: a
// separator inside a cell has moved the cells after it.
func (f form[Row]) read(s sheet, places []int, r row, report func(RowError)) (Row, bool) {
	out := f.fresh(r.line)
	if surplus := slices.IndexFunc(r.cells[min(len(s.header), len(r.cells)):], notBlank); surplus >= 0 {
		report(RowError{Line: r.line, Value: r.cell(len(s.header) + surplus), RowLost: true,
			Problem: fmt.Sprintf("more cells than the header's %d", len(s.header)),
			Remedy:  fmt.Sprintf("put cells that contain %q in quotes", s.separator)})
		return out, false
	}
	for i, c := range f.columns {
		text := ""
		if places[i] >= 0 {
			text = r.cell(places[i])
		}
		if text == "" {
			continue
		}
		if bad := c.read(&out, cell{text, s.marks}); bad != nil {
			report(RowError{Line: r.line, Column: c.name, Value: text, System: f.about(&out), Problem: bad.problem, Remedy: bad.remedy})
		}
	}
	return out, true
}

func notBlank(cell string) bool { return strings.TrimSpace(cell) != "" }

// about is the system that a row speaks about.
func (f form[Row]) about(r *Row) string {
	if f.system == nil {
		return ""
	}
	return f.system(r)
}
