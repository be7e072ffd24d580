package dataset

import (
	"math/rand/v2"
	"testing"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/table"
)

// steps makes rows of a channel that moves by so many steps at most each minute.
func steps(t *testing.T, rows int, many int32, step int32) *frame.Frame {
	t.Helper()
	rng := rand.New(rand.NewPCG(2, uint64(many)))
	b := frame.NewBuilder(table.Samples(), rows)
	for i := range rows {
		b.Column("time").Int64(march2024 + int64(i)*60_000_000)
		b.Column("suction_temp_c").Int32(rng.Int32N(many) * step)
	}
	return frametest.Build(t, b)
}

// TestLongPagesTakeTheBitsOfTheirDifferences bounds what a number takes in a file. Of so
// many steps that are equally frequent, the difference of two is distributed as a triangle.
// Its lower byte has the entropy of that, its upper byte that of how often it leaves the
// 256 about zero, and one code for both adds a bit to each at most.
func TestLongPagesTakeTheBitsOfTheirDifferences(t *testing.T) {
	for _, c := range []struct {
		many, step int32
		most       float64 // bits a number
	}{{1, 100, 0.2}, {2, 100, 1.5 + 2}, {3, 100, 2.2 + 1 + 2}, {20, 10, 5.1 + 0.8 + 2.2}, {20_000, 1, 16.2}} {
		f := steps(t, rowGroupRows, c.many, c.step)
		b := encoded(t, f)
		meta := opened(t, b).Metadata().RowGroups[0].Columns[table.Samples().Index("suction_temp_c")].MetaData
		if got := 8 * float64(meta.TotalCompressedSize) / rowGroupRows; got > c.most {
			t.Errorf("%d steps of %d take %.2f bits a number, at most %.1f were expected", c.many, c.step, got, c.most)
		}
		frametest.Equal(t, decoded(t, b, table.Samples()), f)
	}
}
