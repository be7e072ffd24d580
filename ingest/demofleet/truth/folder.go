package truth

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

// Files of a folder of truth:
//
//	fleet.json       systems with their episodes, sensors, slips of the register
//	files.jsonl      one line for each upload: what it really is
//	days/ID.csv      charge and faults of a system, day by day
//	points/ID.csv    true operating points during the system's records
const (
	fleetFile  = "fleet.json"
	filesFile  = "files.jsonl"
	daysDir    = "days"
	pointsDir  = "points"
	pointsHead = "time,evaporating_c,condensing_c,superheat_k,subcooling_k,suction_superheat_k,discharge_c,cooling_kw,heating_kw,input_kw,charge_kg,opening,level,outdoor_c,source_c,sink_c\n"
)

// A Writer writes a folder of truth while a fleet is made.
type Writer struct {
	dir    string
	files  *bufio.Writer
	points *bufio.Writer
	closes []io.Closer
	system string
	line   []byte // in which lines are made
}

// Create starts a folder of truth; what it held before is written over.
func Create(dir string) (*Writer, error) {
	for _, sub := range []string{daysDir, pointsDir} {
		if err := os.MkdirAll(filepath.Join(dir, sub), 0o777); err != nil {
			return nil, err
		}
	}
	f, err := os.Create(filepath.Join(dir, filesFile))
	if err != nil {
		return nil, err
	}
	return &Writer{dir: dir, files: bufio.NewWriter(f), closes: []io.Closer{f}}, nil
}

// File adds what an upload really is, with the operating points behind it. The
// files of a system come one after the other.
func (w *Writer) File(f File, points []Point) error {
	line, err := json.Marshal(f)
	if err != nil {
		return err
	}
	if _, err := w.files.Write(append(line, '\n')); err != nil {
		return err
	}
	if err := w.turnTo(f.System); err != nil {
		return err
	}
	for _, p := range points {
		w.line = p.row(w.line[:0])
		if _, err := w.points.Write(w.line); err != nil {
			return err
		}
	}
	return nil
}

// turnTo opens the points of a system.
func (w *Writer) turnTo(system string) error {
	if w.points != nil && w.system == system {
		return nil
	}
	if err := w.closePoints(); err != nil {
		return err
	}
	f, err := os.Create(filepath.Join(w.dir, pointsDir, system+".csv"))
	if err != nil {
		return err
	}
	w.system, w.points, w.closes = system, bufio.NewWriter(f), append(w.closes, f)
	_, err = w.points.WriteString(pointsHead)
	return err
}

func (w *Writer) closePoints() error {
	if w.points == nil {
		return nil
	}
	last := len(w.closes) - 1
	err := errors.Join(w.points.Flush(), w.closes[last].Close())
	w.points, w.closes = nil, w.closes[:last]
	return err
}

// Close writes the fleet itself and ends the folder. The fleet's files are those
// that were added, with those that have no points.
func (w *Writer) Close(f Fleet) error {
	err := errors.Join(w.closePoints(), w.rest(f), w.files.Flush(), w.closes[0].Close())
	for _, s := range f.Systems {
		err = errors.Join(err, w.days(f, s))
	}
	f.Files = nil
	text, bad := json.MarshalIndent(f, "", " ")
	return errors.Join(err, bad, os.WriteFile(filepath.Join(w.dir, fleetFile), append(text, '\n'), 0o666))
}

// rest adds the files without a record: those that are no log.
func (w *Writer) rest(f Fleet) error {
	for _, x := range f.Files {
		if x.Logger != "" {
			continue
		}
		line, err := json.Marshal(x)
		if err != nil {
			return err
		}
		if _, err := w.files.Write(append(line, '\n')); err != nil {
			return err
		}
	}
	return nil
}

// faults are the columns of a system's days.
var faults = []Fault{Leak, Overcharge, CondenserFouling, EvaporatorFouling, Restriction, Wear, ForeignGas, ValveStuck}

// days writes charge and faults of a system at noon of each day.
func (w *Writer) days(f Fleet, s System) error {
	b := append(w.line[:0], "day,charge_kg,leak,overcharge,condenser_fouling,evaporator_fouling,restriction,compressor_wear,foreign_gas,valve_stuck\n"...)
	for t := f.Start.Add(12 * time.Hour); t.Before(f.End); t = t.AddDate(0, 0, 1) {
		b = t.AppendFormat(b, time.DateOnly)
		b = number(b, s.Charge(t))
		for _, k := range faults {
			b = number(b, s.Fault(k, t))
		}
		b = append(b, '\n')
	}
	w.line = b
	return os.WriteFile(filepath.Join(w.dir, daysDir, s.ID+".csv"), b, 0o666)
}

// row appends the point's line.
func (p Point) row(b []byte) []byte {
	b = p.Time.AppendFormat(b, time.RFC3339)
	for _, v := range []float64{
		p.Evaporating, p.Condensing, p.Superheat, p.Subcooling, p.SuctionSuperheat, p.Discharge, p.Cooling, p.Heating, p.Input,
		p.Charge, p.Opening, p.Level, p.Outdoor, p.Source, p.Sink,
	} {
		b = number(b, v)
	}
	return append(b, '\n')
}

func number(b []byte, v float64) []byte { return AppendFixed(append(b, ','), v, 4, '.') }

// AppendFixed appends a number with so many digits, at most four, behind a decimal mark:
// a record has millions of them.
func AppendFixed(b []byte, v float64, digits int, mark byte) []byte {
	scale := [...]int64{1, 10, 100, 1000, 10000}[digits]
	n := int64(math.RoundToEven(v * float64(scale)))
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	b = strconv.AppendInt(b, n/scale, 10)
	if digits == 0 {
		return b
	}
	b = append(b, mark)
	for scale /= 10; scale > 0; scale /= 10 {
		b = append(b, byte('0'+n/scale%10))
	}
	return b
}

// Load reads a fleet with its files. The error names the file and, for the list
// of files, the line.
func Load(fsys fs.FS) (Fleet, error) {
	var f Fleet
	text, err := fs.ReadFile(fsys, fleetFile)
	if err != nil {
		return f, err
	}
	if err := json.Unmarshal(text, &f); err != nil {
		return f, fmt.Errorf("%s: %w", fleetFile, err)
	}
	list, err := fsys.Open(filesFile)
	if err != nil {
		return f, err
	}
	defer list.Close()
	d := json.NewDecoder(list)
	for line := 1; ; line++ {
		var x File
		if err := d.Decode(&x); err == io.EOF {
			return f, nil
		} else if err != nil {
			return f, fmt.Errorf("%s:%d: %w", filesFile, line, err)
		}
		f.Files = append(f.Files, x)
	}
}
