package piecewise

import (
	"errors"
	"fmt"
	"math"
)

// ErrTolerance says that a function could not be fitted within its tolerance.
var ErrTolerance = errors.New("not fitted within tolerance")

// degree of the polynomials of a curve.
const degree = 9

// curveDepth is how often a piece may be halved: 2^curveDepth bins.
const curveDepth = 9

// Curve is a function of one variable with one or more channels.
type Curve struct {
	lo, hi   float64
	scale    float64  // bins per unit
	index    []uint16 // bin -> piece
	mid, inv []float64
	channels int
	coef     []float64 // [piece][channel][degree+1], highest power first
}

// NewCurve fits f on [lo, hi]. f writes one value per channel to out; tol is
// the wanted absolute accuracy of each.
func NewCurve(lo, hi float64, tol []float64, f func(x float64, out []float64) error) (*Curve, error) {
	bins := 1 << curveDepth
	c := &Curve{lo: lo, hi: hi, scale: float64(bins) / (hi - lo), index: make([]uint16, bins), channels: len(tol)}
	b := &curveBuilder{curve: c, basis: newBasis(degree), tol: tol, f: f}
	if err := b.split(0, bins); err != nil {
		return nil, err
	}
	return c, nil
}

type curveBuilder struct {
	curve *Curve
	basis *basis
	tol   []float64
	f     func(x float64, out []float64) error
}

// split fits the bins from first up to end, or halves them.
func (b *curveBuilder) split(first, end int) error {
	c, m := b.curve, degree+1
	lo, hi := c.lo+float64(first)/c.scale, c.lo+float64(end)/c.scale
	mid, half := (lo+hi)/2, (hi-lo)/2
	values := make([]float64, c.channels*m)
	out := make([]float64, c.channels)
	for k, u := range b.basis.points {
		if err := b.f(mid+half*u, out); err != nil {
			return fmt.Errorf("at %g: %w", mid+half*u, err)
		}
		for ch, v := range out {
			values[ch*m+k] = v
		}
	}
	scratch := make([]float64, m)
	good := true
	for ch := range c.channels {
		apply(b.basis.toCheb, values, ch*m, 1, scratch)
		tail := math.Abs(values[ch*m+degree]) + math.Abs(values[ch*m+degree-1])
		good = good && tail < b.tol[ch]
	}
	if !good && end-first > 1 {
		half := (first + end) / 2
		if err := b.split(first, half); err != nil {
			return err
		}
		return b.split(half, end)
	}
	if !good {
		return fmt.Errorf("between %g and %g: %w", lo, hi, ErrTolerance)
	}
	for i := first; i < end; i++ {
		c.index[i] = uint16(len(c.mid))
	}
	c.mid, c.inv = append(c.mid, mid), append(c.inv, 1/half)
	for ch := range c.channels {
		apply(b.basis.toPower, values, ch*m, 1, scratch)
		for i := degree; i >= 0; i-- {
			c.coef = append(c.coef, values[ch*m+i])
		}
	}
	return nil
}

// Domain returns the ends of the curve.
func (c *Curve) Domain() (lo, hi float64) { return c.lo, c.hi }

// Pieces is the number of polynomials.
func (c *Curve) Pieces() int { return len(c.mid) }

// Contains reports whether x is on the curve; NaN is not.
func (c *Curve) Contains(x float64) bool { return x >= c.lo && x <= c.hi }

// Slope is the derivative of one channel at x, which must be on the curve.
func (c *Curve) Slope(channel int, x float64) float64 {
	k := c.piece(x)
	u := (x - c.mid[k]) * c.inv[k]
	var value, slope float64
	for _, a := range c.coef[(k*c.channels+channel)*(degree+1):][:degree+1] {
		slope = slope*u + value
		value = value*u + a
	}
	return slope * c.inv[k]
}

// piece is the number of the polynomial that holds x.
func (c *Curve) piece(x float64) int {
	return int(c.index[min(int((x-c.lo)*c.scale), len(c.index)-1)])
}

// At evaluates one channel at x, which must be on the curve.
func (c *Curve) At(channel int, x float64) float64 {
	k := c.piece(x)
	u := (x - c.mid[k]) * c.inv[k]
	a := (*[degree + 1]float64)(c.coef[(k*c.channels+channel)*(degree+1):])
	u2 := u * u
	u4 := u2 * u2
	// Estrin's scheme: four short chains instead of one of nine.
	p0 := a[9] + a[8]*u + (a[7]+a[6]*u)*u2
	p1 := a[5] + a[4]*u + (a[3]+a[2]*u)*u2
	return p0 + (p1+(a[1]+a[0]*u)*u4)*u4
}
