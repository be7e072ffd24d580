package ingest

import (
	"io"
	"testing"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// nowhere is a sink that forgets.
type nowhere struct{}

func (nowhere) put(int, *frame.Frame) error      { return nil }
func (nowhere) restart()                         {}
func (nowhere) shelf(table.Table) (shelf, error) { return &memoryShelf{}, nil }

// BenchmarkPass reads the slow process without writing it anywhere: from bytes to
// columns.
func BenchmarkPass(b *testing.B) {
	file := slowProcess(200_000, false)
	src := sourceOf(file)
	s, err := takeSample(src, Options{})
	if err != nil {
		b.Fatal(err)
	}
	p, err := newPlan(s, Answers{Systems: []SystemAnswers{site}}, amendments{}, Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(file)))
	defer perCPU(b, len(file))()
	for b.Loop() {
		pass := newPass(p, src.Size, nowhere{})
		if err := pass.run(io.NewSectionReader(src, 0, src.Size), 1<<20); err != nil || pass.lines.Data != 200_000 {
			b.Fatal(err, pass.lines)
		}
	}
}
