package register

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"testing/fstest"
)

// A register of a large firm: 5,000 systems with 10 events and 4 channel rows each.
func BenchmarkLoad(b *testing.B) {
	v := inventor{rand.New(rand.NewPCG(1, 0))}
	var systems []System
	var channels []Channel
	var events []Event
	for i := range 5000 {
		s := v.system(i)
		systems = append(systems, s)
		for j := range 10 {
			events = append(events, v.event(s, j))
			if j < 4 {
				channels = append(channels, v.channel(s, j))
			}
		}
	}
	fsys, bytes := fstest.MapFS{}, 0
	for name, text := range written(b, systems, channels, events, nil) {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
		bytes += len(text)
	}
	b.SetBytes(int64(bytes))
	var r *Register
	for b.Loop() {
		var err error
		if r, err = Load(context.Background(), fsys); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(r.Problems)), "problems")
	if got := fmt.Sprint(len(r.Systems)); got != "5000" {
		b.Fatalf("loaded %s systems", got)
	}
}

// Reading rows are asked for once per upload in every run.
func BenchmarkReadingRows(b *testing.B) {
	v := inventor{rand.New(rand.NewPCG(1, 0))}
	s := v.system(1)
	channels := make([]Channel, 8)
	for i := range channels {
		channels[i] = v.channel(s, i)
	}
	r := load(b, written(b, []System{s}, channels, nil, nil))
	for b.Loop() {
		if r.ReadingRows(s.ID, "a/2026/bx.csv", true) == "" {
			b.Fatal("no rows")
		}
	}
}
