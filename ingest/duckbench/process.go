package main

import (
	"bufio"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"time"
)

// A dialect is how a file is written.
type dialect struct {
	name, title string
	delim, mark byte
	layout      string
}

var dialects = []dialect{
	{"C", "comma, decimal point, 2025-01-31 12:00:00", ',', '.', "2006-01-02 15:04:05"},
	{"S", "semicolon, decimal comma, 31.01.2025 12:00:00", ';', ',', "02.01.2006 15:04:05"},
}

// The process: a level and the decimals that the logger prints for each column.
var (
	columns = []string{
		"Suction pressure [bar(g)]", "Discharge pressure [bar(g)]", "Power [kW]",
		"Suction temp [°C]", "Discharge temp [°C]", "Liquid temp [°C]", "Outdoor temp [°C]", "Room temp [°C]",
	}
	levels   = []float64{2.6, 14.2, 3.4, 8.5, 71.2, 33.1, 18.4, 4.2}
	swings   = []float64{0.3, 3.5, 0.8, 4, 9, 6, 8, 0.7} // over the day
	decimals = []int{2, 2, 2, 1, 1, 1, 1, 1}
)

// write writes a lagging process that follows the day, with noise, a row a
// second. The same count of rows gives the same file.
func (d dialect) write(path string, rows int) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<20)
	return errors.Join(d.rows(w, rows), w.Flush(), f.Close())
}

func (d dialect) rows(w io.Writer, rows int) error {
	if _, err := io.WriteString(w, "Time"+string(d.delim)+strings.Join(columns, string(d.delim))+"\n"); err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(1, 1))
	level := append([]float64{}, levels...)
	at := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	var line []byte
	for i := range rows {
		day := math.Sin(2 * math.Pi * float64(i) / 86400)
		line = at.AppendFormat(line[:0], d.layout)
		at = at.Add(time.Second)
		for k := range level {
			level[k] += 0.002*rng.NormFloat64() + 1e-5*(levels[k]-level[k])
			line = d.number(append(line, d.delim), level[k]+swings[k]*day+0.05*rng.NormFloat64(), decimals[k])
		}
		if _, err := w.Write(append(line, '\n')); err != nil {
			return err
		}
	}
	return nil
}

// number appends a number with the dialect's decimal mark.
func (d dialect) number(b []byte, v float64, digits int) []byte {
	scale := math.Pow10(digits)
	m := int64(math.Round(v * scale))
	if m < 0 {
		b, m = append(b, '-'), -m
	}
	whole, part := m/int64(scale), m%int64(scale)
	b = append(strconv.AppendInt(b, whole, 10), d.mark)
	if digits == 2 && part < 10 {
		b = append(b, '0')
	}
	return strconv.AppendInt(b, part, 10)
}
