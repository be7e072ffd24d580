package piecewise

import (
	"errors"
	"math"
)

// Degree of the polynomials of a patch in each direction, and how often a cell
// may be halved in each.
const (
	patchDegree = 6
	patchWidth  = patchDegree + 1
	patchDepth  = 6
	patchBins   = 1 << patchDepth
)

// absent marks bins where the function does not exist.
const absent = math.MaxUint16

// Patch is a function of two variables on a rectangle, with one or more
// channels. Parts of the rectangle may be absent.
type Patch struct {
	x0, y0, xScale, yScale float64
	x1, y1                 float64
	index                  []uint16 // [xBin][yBin] -> cell
	cells                  []cell
	channels               int
	coef                   []float64 // [channel][cell][x power][y power], highest first
}

// cell is the frame of one polynomial.
type cell struct{ xMid, xInv, yMid, yInv float64 }

// ErrAbsent is returned by a function where it does not exist.
var ErrAbsent = errors.New("function does not exist here")

// NewPatch fits f on [x0, x1] x [y0, y1], absent where f says ErrAbsent.
func NewPatch(x0, x1, y0, y1 float64, tol []float64, f func(x, y float64, out []float64) error) (*Patch, error) {
	p := &Patch{
		x0: x0, x1: x1, y0: y0, y1: y1,
		xScale: patchBins / (x1 - x0), yScale: patchBins / (y1 - y0),
		index: make([]uint16, patchBins*patchBins), channels: len(tol),
	}
	b := &patchBuilder{patch: p, basis: newBasis(patchDegree), tol: tol, f: f}
	if err := b.split(0, patchBins, 0, patchBins); err != nil {
		return nil, err
	}
	b.store()
	return p, nil
}

type patchBuilder struct {
	patch  *Patch
	basis  *basis
	tol    []float64
	f      func(x, y float64, out []float64) error
	fitted [][]float64 // per cell: [channel][x power][y power]
}

// split fits the bins, or halves them in the direction that decays worse.
func (b *patchBuilder) split(i0, i1, j0, j1 int) error {
	p := b.patch
	c := cell{
		xMid: p.x0 + float64(i0+i1)/2/p.xScale, xInv: 2 * p.xScale / float64(i1-i0),
		yMid: p.y0 + float64(j0+j1)/2/p.yScale, yInv: 2 * p.yScale / float64(j1-j0),
	}
	values, err := b.sample(c)
	exists := !errors.Is(err, ErrAbsent)
	if err != nil && exists {
		return err
	}
	xTail, yTail := 2.0, 1.0 // an absent part: halve in turn
	if exists {
		xTail, yTail = b.tails(values)
	} else if i1-i0 <= j1-j0 {
		xTail, yTail = 1, 2
	}
	switch {
	case exists && xTail <= 1 && yTail <= 1:
		b.keep(c, values, i0, i1, j0, j1)
		return nil
	case i1-i0 > 1 && (xTail >= yTail || j1-j0 == 1):
		m := (i0 + i1) / 2
		return errors.Join(b.split(i0, m, j0, j1), b.split(m, i1, j0, j1))
	case j1-j0 > 1:
		m := (j0 + j1) / 2
		return errors.Join(b.split(i0, i1, j0, m), b.split(i0, i1, m, j1))
	}
	for i := i0; i < i1; i++ {
		for j := j0; j < j1; j++ {
			p.index[i*patchBins+j] = absent
		}
	}
	return nil
}

// sample evaluates f at the points of a cell: [channel][x][y].
func (b *patchBuilder) sample(c cell) ([]float64, error) {
	n := b.patch.channels
	values := make([]float64, n*patchWidth*patchWidth)
	out := make([]float64, n)
	for i, u := range b.basis.points {
		for j, v := range b.basis.points {
			if err := b.f(c.xMid+u/c.xInv, c.yMid+v/c.yInv, out); err != nil {
				return nil, err
			}
			for ch, x := range out {
				values[(ch*patchWidth+i)*patchWidth+j] = x
			}
		}
	}
	return values, nil
}

// tails turns values into Chebyshev coefficients and returns, relative to the
// tolerance, how large the last ones are in each direction.
func (b *patchBuilder) tails(values []float64) (x, y float64) {
	var scratch [patchWidth]float64
	for ch, tol := range b.tol {
		at := ch * patchWidth * patchWidth
		for i := range patchWidth {
			apply(b.basis.toCheb, values, at+i*patchWidth, 1, scratch[:])
		}
		for j := range patchWidth {
			apply(b.basis.toCheb, values, at+j, patchWidth, scratch[:])
		}
		var tx, ty float64
		for k := range patchWidth {
			tx += math.Abs(values[at+patchDegree*patchWidth+k])
			ty += math.Abs(values[at+k*patchWidth+patchDegree])
		}
		x, y = max(x, tx/tol), max(y, ty/tol)
	}
	return x, y
}

// keep stores a fitted cell.
func (b *patchBuilder) keep(c cell, values []float64, i0, i1, j0, j1 int) {
	p := b.patch
	var scratch [patchWidth]float64
	for ch := range p.channels {
		at := ch * patchWidth * patchWidth
		for i := range patchWidth {
			apply(b.basis.toPower, values, at+i*patchWidth, 1, scratch[:])
		}
		for j := range patchWidth {
			apply(b.basis.toPower, values, at+j, patchWidth, scratch[:])
		}
	}
	for i := i0; i < i1; i++ {
		for j := j0; j < j1; j++ {
			p.index[i*patchBins+j] = uint16(len(p.cells))
		}
	}
	p.cells = append(p.cells, c)
	b.fitted = append(b.fitted, values)
}

// store lays the coefficients out channel by channel, highest powers first.
func (b *patchBuilder) store() {
	p := b.patch
	for ch := range p.channels {
		for _, values := range b.fitted {
			block := values[ch*patchWidth*patchWidth : (ch+1)*patchWidth*patchWidth]
			for k := len(block) - 1; k >= 0; k-- {
				p.coef = append(p.coef, block[k])
			}
		}
	}
}

// Cells is the number of polynomials.
func (p *Patch) Cells() int { return len(p.cells) }

// Has reports whether the patch has a channel of that number.
func (p *Patch) Has(channel int) bool { return channel < p.channels }

// Span returns the ends of the patch in y.
func (p *Patch) Span() (y0, y1 float64) { return p.y0, p.y1 }

// Find returns the cell that holds (x, y), or ok false outside the patch, in an
// absent part or for NaN.
func (p *Patch) Find(x, y float64) (at int, ok bool) {
	if !(x >= p.x0 && x <= p.x1 && y >= p.y0 && y <= p.y1) {
		return 0, false
	}
	i := min(int((x-p.x0)*p.xScale), patchBins-1)
	j := min(int((y-p.y0)*p.yScale), patchBins-1)
	k := p.index[i*patchBins+j]
	return int(k), k != absent
}

// At evaluates one channel at (x, y) in the cell found by Find.
func (p *Patch) At(channel, at int, x, y float64) float64 {
	c := &p.cells[at]
	u, v := (x-c.xMid)*c.xInv, (y-c.yMid)*c.yInv
	a := (*[patchWidth * patchWidth]float64)(p.coef[(channel*len(p.cells)+at)*patchWidth*patchWidth:])
	v2 := v * v
	v4 := v2 * v2
	sum := 0.0
	for i := 0; i < len(a); i += patchWidth {
		r := a[i : i+patchWidth : i+patchWidth]
		sum = sum*u + ((r[6] + r[5]*v) + (r[4]+r[3]*v)*v2 + ((r[2]+r[1]*v)+r[0]*v2)*v4)
	}
	return sum
}

// Row is one channel at fixed x as a polynomial in y, valid in one cell.
type Row struct {
	mid, inv float64
	a        [patchWidth]float64 // highest power first
}

// Row collapses a channel at x in the cell found by Find.
func (p *Patch) Row(channel, at int, x float64) Row {
	c := &p.cells[at]
	u := (x - c.xMid) * c.xInv
	a := (*[patchWidth * patchWidth]float64)(p.coef[(channel*len(p.cells)+at)*patchWidth*patchWidth:])
	r := Row{mid: c.yMid, inv: c.yInv}
	for i := 0; i < len(a); i += patchWidth {
		for j := range patchWidth {
			r.a[j] = r.a[j]*u + a[i+j]
		}
	}
	return r
}

// At returns the value and derivative of the row at y.
func (r *Row) At(y float64) (value, slope float64) {
	v := (y - r.mid) * r.inv
	for _, a := range r.a {
		slope = slope*v + value
		value = value*v + a
	}
	return value, slope * r.inv
}

// Holds reports whether y lies in the row's cell, within a hair.
func (r *Row) Holds(y float64) bool {
	return math.Abs((y-r.mid)*r.inv) <= 1+1e-9
}
