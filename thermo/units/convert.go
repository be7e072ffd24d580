package units

import (
	"math/big"
	"math/bits"
)

// A Conversion turns the mantissa of a decimal number into steps of a column:
// steps = round(mantissa × mul ÷ div + whole + part ÷ div), half to even.
type Conversion struct {
	mul, div uint64
	whole    int64
	part     uint64
	negative bool
}

// maxDecimals is how many decimals a Conversion is prepared for at most. With
// the finest unit of the table the divisor then still fits 63 bits.
const maxDecimals = 9

// Conversion prepares the conversion of numbers with a given count of decimals
// into steps of 10^-digits of the canonical unit. What plus holds, in canonical
// units, is added before rounding: the pressure of the air, for a gauge pressure.
// Negate turns the sign of the number first. It reports false where the
// conversion does not fit whole numbers of 64 bits: then use Exact and Round.
func (u Unit) Conversion(decimals, digits int, plus *big.Rat, negate bool) (Conversion, bool) {
	if decimals < 0 || decimals > maxDecimals {
		return Conversion{}, false
	}
	scale := new(big.Rat).SetFrac(pow10(digits), pow10(decimals))
	factor := new(big.Rat).Mul(u.factor.rat(), scale)
	offset := new(big.Rat).Mul(u.zero.rat(), u.factor.rat())
	offset.Neg(offset)
	if plus != nil {
		offset.Add(offset, plus)
	}
	offset.Mul(offset, new(big.Rat).SetInt(pow10(digits)))

	div := lcm(factor.Denom(), offset.Denom())
	mul := new(big.Int).Mul(factor.Num(), new(big.Int).Quo(div, factor.Denom()))
	off := new(big.Int).Mul(offset.Num(), new(big.Int).Quo(div, offset.Denom()))
	whole, part := new(big.Int).DivMod(off, div, new(big.Int))
	if !mul.IsUint64() || !div.IsInt64() || !whole.IsInt64() {
		return Conversion{}, false
	}
	return Conversion{mul.Uint64(), div.Uint64(), whole.Int64(), part.Uint64(), negate}, true
}

// Steps converts one mantissa. It reports false where the result does not fit.
func (c *Conversion) Steps(mantissa int64) (int64, bool) {
	if c.negative {
		mantissa = -mantissa
	}
	if c.div == 1 && mantissa < 1<<31 && mantissa > -1<<31 && c.mul < 1<<31 {
		return mantissa*int64(c.mul) + c.whole, true
	}
	return c.divide(mantissa)
}

// divide is Steps for conversions that do not come out even, and large numbers.
func (c *Conversion) divide(mantissa int64) (int64, bool) {
	size := uint64(mantissa)
	if mantissa < 0 {
		size = -size
	}
	hi, lo := bits.Mul64(size, c.mul)
	if hi >= c.div {
		return 0, false
	}
	quo, rem := bits.Div64(hi, lo, c.div)
	if quo > 1<<62 {
		return 0, false
	}
	q := int64(quo)
	if mantissa < 0 { // floor: the remainder counts upwards
		q = -q
		if rem > 0 {
			q, rem = q-1, c.div-rem
		}
	}
	if rem += c.part; rem >= c.div { // both are below div, which fits 63 bits
		q, rem = q+1, rem-c.div
	}
	return roundEven(q+c.whole, rem, c.div), true
}

// roundEven rounds floor + rem/div to the nearest whole, ties to even.
func roundEven(floor int64, rem, div uint64) int64 {
	switch twice := 2 * rem; {
	case twice > div, twice == div && floor&1 == 1:
		return floor + 1
	}
	return floor
}

// Round gives steps of 10^-digits, half to even. It reports false where the
// result does not fit an int64.
func Round(value *big.Rat, digits int) (int64, bool) {
	v := new(big.Rat).Mul(value, new(big.Rat).SetInt(pow10(digits)))
	floor, rem := new(big.Int).DivMod(v.Num(), v.Denom(), new(big.Int))
	twice := rem.Lsh(rem, 1).Cmp(v.Denom())
	if twice > 0 || twice == 0 && floor.Bit(0) == 1 {
		floor.Add(floor, big.NewInt(1))
	}
	return floor.Int64(), floor.IsInt64()
}

func pow10(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}

func lcm(a, b *big.Int) *big.Int {
	g := new(big.Int).GCD(nil, nil, a, b)
	return new(big.Int).Mul(a, new(big.Int).Quo(b, g))
}

// Even tells whether steps = mantissa × mul + add exactly, for every mantissa that
// fits 31 bits.
func (c *Conversion) Even() (mul, add int64, ok bool) {
	if c.div != 1 || c.mul >= 1<<31 || c.whole >= 1<<62 || c.whole <= -1<<62 {
		return 0, 0, false
	}
	mul = int64(c.mul)
	if c.negative {
		mul = -mul
	}
	return mul, c.whole, true
}
