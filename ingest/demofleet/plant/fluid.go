package plant

import "math"

// A Fluid is a refrigerant's properties by interpolation in tables that are made
// once from the equation of state. The tables' coordinates are the dew
// temperature, which stands for pressure, and the superheat above it.
type Fluid struct {
	Name string

	logPressure line // by dew temperature, of kPa
	bubble      line // bubble temperature by dew temperature
	bubbleLog   line // log of the bubble pressure by liquid temperature
	liquidH     line // boiling liquid by its own temperature, kJ/kg
	liquidRho   line // the same, kg/m³
	gas         sheet

	molar float64 // mass, kg/mol
}

// Gas is a state of gas.
type Gas struct {
	Enthalpy, Entropy, Density, HeatCapacity float64
}

// Pressure is the dew pressure, kPa.
func (f *Fluid) Pressure(dew float64) float64 { return math.Exp(f.logPressure.at(dew)) }

// covers tells whether a dew temperature lies within the tables.
func (f *Fluid) covers(dew float64) bool {
	l := f.logPressure
	return dew >= l.first && dew <= l.first+l.step*float64(len(l.y)-1)
}

// Dew is the dew temperature at a pressure, °C.
func (f *Fluid) Dew(pressure float64) float64 { return f.logPressure.invert(math.Log(pressure)) }

// dewNear is the dew temperature at a pressure, from one nearby.
func (f *Fluid) dewNear(pressure, near float64) float64 {
	return f.logPressure.from(math.Log(pressure), near)
}

// Bubble is the bubble temperature at the pressure whose dew temperature is given, °C.
func (f *Fluid) Bubble(dew float64) float64 { return f.bubble.at(dew) }

// BubblePressure is the pressure at which a liquid starts to boil, kPa.
func (f *Fluid) BubblePressure(t float64) float64 { return math.Exp(f.bubbleLog.at(t)) }

// LiquidEnthalpy is that of the boiling liquid, kJ/kg.
func (f *Fluid) LiquidEnthalpy(t float64) float64 { return f.liquidH.at(t) }

// LiquidDensity is that of the boiling liquid, kg/m³.
func (f *Fluid) LiquidDensity(t float64) float64 { return f.liquidRho.at(t) }

// liquidTemp is the temperature of a boiling liquid by its enthalpy, from one nearby, °C.
func (f *Fluid) liquidTemp(enthalpy, near float64) float64 { return f.liquidH.from(enthalpy, near) }

// Gas is the state at a superheat above a dew temperature.
func (f *Fluid) Gas(dew, superheat float64) Gas {
	g := f.gas.at(dew, superheat)
	g.Density = 1 / g.Density
	return g
}

// wet is saturated gas with a share of liquid in it.
func (f *Fluid) wet(g Gas, dew, share float64) Gas {
	if share == 0 {
		return g
	}
	latent := g.Enthalpy - f.LiquidEnthalpy(dew)
	g.Enthalpy -= share * latent
	g.Entropy -= share * latent / (dew + zeroCelsius)
	g.Density /= 1 - share
	return g
}

// warmed is the gas of an enthalpy at a dew temperature, and its superheat. Below
// that of saturated gas it is wet.
func (f *Fluid) warmed(enthalpy, dew float64, g Gas) (Gas, float64) {
	if enthalpy < g.Enthalpy {
		return f.wet(g, dew, (g.Enthalpy-enthalpy)/(g.Enthalpy-f.LiquidEnthalpy(dew))), 0
	}
	superheat := f.Superheat(enthalpy, dew)
	return f.Gas(dew, superheat), superheat
}

// isentropic is the enthalpy at an entropy.
func (r *row) isentropic(entropy float64) float64 {
	return r.at(r.invert(entropyColumn, entropy)).Enthalpy
}

// superheat is how far gas of an enthalpy is above the dew temperature, K.
func (r *row) superheat(enthalpy float64) float64 { return r.invert(enthalpyColumn, enthalpy) }

// Superheat is how far gas of an enthalpy is above the dew temperature, K.
func (f *Fluid) Superheat(enthalpy, dew float64) float64 {
	r := f.gas.row(dew)
	return r.superheat(enthalpy)
}

// EvaporatingMean is the mean temperature of the two phases in an evaporator
// that is entered with an enthalpy, °C. It differs from the dew temperature for
// blends only.
func (f *Fluid) EvaporatingMean(dew, inlet float64) float64 {
	bubble := f.Bubble(dew)
	if bubble == dew {
		return dew
	}
	liquid, gas := f.LiquidEnthalpy(bubble), f.Gas(dew, 0).Enthalpy
	enter := bubble + (dew-bubble)*max(0, min(1, (inlet-liquid)/(gas-liquid)))
	return (enter + dew) / 2
}

// Glide is the difference of dew and bubble temperature at the pressure whose mean
// of both is given, K.
func (f *Fluid) Glide(mean float64) float64 {
	dew := f.dewOfMean(mean)
	return dew - f.Bubble(dew)
}

// dewOfMean is the dew temperature at the pressure whose mean of dew and bubble
// temperature is given, °C.
func (f *Fluid) dewOfMean(mean float64) float64 {
	dew := mean
	for range 20 {
		dew = mean + (dew-f.Bubble(dew))/2
	}
	return dew
}

// A line is a function on an even grid, by cubic interpolation.
type line struct {
	first, step float64
	y           []float64
}

func (l line) at(x float64) float64 {
	i, w := cell(x, l.first, l.step, len(l.y))
	y := l.y[i : i+4]
	return w[0]*y[0] + w[1]*y[1] + w[2]*y[2] + w[3]*y[3]
}

// both is the value and the slope.
func (l line) both(x float64) (y, slope float64) {
	i, w := cell(x, l.first, l.step, len(l.y))
	d := slopes(x, l.first+l.step*float64(i), l.step)
	for k, v := range l.y[i : i+4] {
		y += w[k] * v
		slope += d[k] * v
	}
	return y, slope
}

// invert finds x of a rising function by Newton's method.
func (l line) invert(y float64) float64 {
	i := 0
	for j := len(l.y) / 2; j > 0; j /= 2 {
		for i+j < len(l.y) && l.y[i+j] < y {
			i += j
		}
	}
	return l.from(y, l.first+l.step*(float64(i)+0.5))
}

// lastMove is the step after which Newton's method is near enough: what is left is of the
// order of its square, K.
const lastMove = 1e-6

// from does so from nearby.
func (l line) from(y, x float64) float64 {
	for range 30 {
		is, slope := l.both(x)
		d := (is - y) / slope
		x -= d
		if math.Abs(d) < lastMove {
			break
		}
	}
	return x
}

// A sheet holds gas on an even grid of dew temperature and superheat: enthalpy,
// entropy and specific volume of each state, one after the other.
type sheet struct {
	first, step float64 // dew temperature
	rise        float64 // step of superheat, from 0
	columns     int     // superheats
	z           []float64
}

// What the values of a state in a sheet are.
const (
	enthalpyColumn = iota
	entropyColumn
	volumeColumn
	gasColumns
)

// at is the state at a superheat; its density is the specific volume.
func (s *sheet) at(dew, superheat float64) Gas {
	r := s.row(dew)
	return r.at(superheat)
}

// A row is a sheet at one dew temperature.
type row struct {
	sheet *sheet
	first int // of the four grid rows about the dew temperature
	w     [4]float64
}

func (s *sheet) row(dew float64) row {
	i, w := cell(dew, s.first, s.step, len(s.z)/(gasColumns*s.columns))
	return row{s, i, w}
}

// at is the state at a superheat; its density is the specific volume.
func (r *row) at(superheat float64) (g Gas) {
	s := r.sheet
	j, v := cell(superheat, 0, s.rise, s.columns)
	d := slopes(superheat, float64(j)*s.rise, s.rise)
	for k, w := range r.w {
		z := s.z[((r.first+k)*s.columns+j)*gasColumns:][: 4*gasColumns : 4*gasColumns]
		g.Enthalpy += w * (v[0]*z[0] + v[1]*z[3] + v[2]*z[6] + v[3]*z[9])
		g.HeatCapacity += w * (d[0]*z[0] + d[1]*z[3] + d[2]*z[6] + d[3]*z[9])
		g.Entropy += w * (v[0]*z[1] + v[1]*z[4] + v[2]*z[7] + v[3]*z[10])
		g.Density += w * (v[0]*z[2] + v[1]*z[5] + v[2]*z[8] + v[3]*z[11])
	}
	return g
}

// below is the last grid point, but for the very last, at which a value that rises with
// superheat is still below another: nearly as far as its first rise says.
func (r *row) below(column int, value float64) int {
	first, last, at := r.node(column, 0), r.sheet.columns-2, 0
	if far := (value - first) / (r.node(column, 1) - first); far > 0 {
		at = int(min(far, float64(last)))
	}
	for at < last && r.node(column, at+1) < value {
		at++
	}
	for at > 0 && !(r.node(column, at) < value) {
		at--
	}
	return at
}

// invert finds the superheat of a value that rises with it: first between which
// grid points, then by Newton's method on the cubic there.
func (r *row) invert(column int, value float64) float64 {
	s := r.sheet
	lo := r.below(column, value)
	i := max(0, min(s.columns-4, lo-1))
	var y [4]float64
	for k := range y {
		y[k] = r.node(column, i+k)
	}
	x := s.rise * (float64(lo) + (value-y[lo-i])/(y[lo-i+1]-y[lo-i]))
	for range 30 {
		u := x/s.rise - float64(i)
		a, b, c, d := u, u-1, u-2, u-3
		v := -b*c*d/6*y[0] + a*c*d/2*y[1] - a*b*d/2*y[2] + a*b*c/6*y[3]
		w := slopes(x, float64(i)*s.rise, s.rise)
		move := (v - value) / (w[0]*y[0] + w[1]*y[1] + w[2]*y[2] + w[3]*y[3])
		x -= move
		if math.Abs(move) < lastMove {
			break
		}
	}
	return x
}

// node is a value at a grid point of superheat.
func (r *row) node(column, j int) (v float64) {
	s := r.sheet
	for k, w := range r.w {
		v += w * s.z[((r.first+k)*s.columns+j)*gasColumns+column]
	}
	return v
}

// cell finds the four grid points about x and their weights (Lagrange). Beyond
// the grid the last cubic goes on; a solver may look there, no result lies there.
func cell(x, first, step float64, n int) (int, [4]float64) {
	u := (x - first) / step
	i := 0
	if u > float64(n-3) {
		i = n - 4
	} else if u > 1 { // no index follows from what is not a number; the weights say so
		i = int(u) - 1
	}
	t := u - float64(i)
	a, b, c, d := t, t-1, t-2, t-3
	return i, [4]float64{-b * c * d / 6, a * c * d / 2, -a * b * d / 2, a * b * c / 6}
}

// slopes are the derivatives of the weights by x.
func slopes(x, start, step float64) [4]float64 {
	t := (x - start) / step
	a, b, c, d := t, t-1, t-2, t-3
	return [4]float64{
		-(b*c + b*d + c*d) / (6 * step),
		(a*c + a*d + c*d) / (2 * step),
		-(a*b + a*d + b*d) / (2 * step),
		(a*b + a*c + b*c) / (6 * step),
	}
}
