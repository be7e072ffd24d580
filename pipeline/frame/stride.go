package frame

import (
	"math"
	"time"
	"unsafe"
)

// A stride is one field of the rows of a slice. Its address is worked out, since to ask package
// reflect for each value takes longer than all else that is done with it. Its type is the one
// that [table.ColumnsOf] found for the column.
type stride struct {
	first unsafe.Pointer
	step  uintptr
}

func strideOf[Row any](rows []Row, offset uintptr) stride {
	var row Row
	if len(rows) == 0 {
		return stride{}
	}
	return stride{unsafe.Add(unsafe.Pointer(unsafe.SliceData(rows)), offset), unsafe.Sizeof(row)}
}

// at is the field of row i.
func at[T any](s stride, i int) *T { return (*T)(unsafe.Add(s.first, uintptr(i)*s.step)) }

// taken hands on the field of each row.
func taken[T any](s stride, to func(T)) func(from, to int) {
	return func(first, last int) {
		for i := first; i < last; i++ {
			to(*at[T](s, i))
		}
	}
}

// given sets the field of each row.
func given[T any](s stride, of func(i int) T) func(from, to int) {
	return func(first, last int) {
		for i := first; i < last; i++ {
			*at[T](s, i) = of(i)
		}
	}
}

// length is how many bytes the texts of so many rows have together.
func (s stride) length(rows int) (n int) {
	for i := range rows {
		n += len(*at[string](s, i))
	}
	return n
}

func (s stride) takeTimes(to *Column) func(from, to int) {
	return taken(s, func(t time.Time) {
		if t.IsZero() {
			to.Null()
		} else {
			to.Int64(t.UnixMicro())
		}
	})
}

func (s stride) giveTimes(times []int64, valid Valid) func(from, to int) {
	return func(first, last int) {
		for i := first; i < last; i++ {
			if valid.At(i) {
				*at[time.Time](s, i) = time.UnixMicro(times[i]).UTC()
			}
		}
	}
}

// takeFloats appends numbers; NaN is null.
func (s stride) takeFloats(to *Column) func(from, to int) {
	return func(first, last int) {
		var values [block]float64
		var valid [block]bool
		for i := first; i < last; i++ {
			v := *at[float64](s, i)
			if valid[i-first] = !math.IsNaN(v); valid[i-first] {
				values[i-first] = v
			}
		}
		to.Float64s(values[:last-first], valid[:last-first])
	}
}

func (s stride) giveFloats(values []float64, valid Valid) func(from, to int) {
	return func(first, last int) {
		for i := first; i < last; i++ {
			v := values[i]
			if !valid.At(i) {
				v = math.NaN()
			}
			*at[float64](s, i) = v
		}
	}
}
