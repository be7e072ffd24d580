package plant

import "math"

// meanVoid is the mean share of gas by volume over a stretch of pipe in which
// the quality goes evenly from one value to another, with the slip of Zivi
// (J. Heat Transfer 86, 1964: slip = (liquid/gas density)^(1/3)).
func meanVoid(from, to, gas, liquid float64) float64 {
	a := math.Pow(gas/liquid, 2.0/3)
	b := 1 - a
	if math.Abs(to-from) < 1e-9 {
		return from / (a + b*from)
	}
	prim := func(x float64) float64 { return x/b - a/(b*b)*math.Log(a+b*x) }
	return (prim(to) - prim(from)) / (to - from)
}

// twoPhaseDensity is the mean density over such a stretch, kg/m³.
func twoPhaseDensity(from, to, gas, liquid float64) float64 {
	v := meanVoid(from, to, gas, liquid)
	return v*gas + (1-v)*liquid
}

// An Inventory is where the refrigerant is, kg.
type Inventory struct {
	Condenser, Receiver, LiquidLine, Evaporator, SuctionSide float64
	Oil                                                      float64 // dissolved in it
}

// Total is all of it, kg.
func (i Inventory) Total() float64 {
	return i.Condenser + i.Receiver + i.LiquidLine + i.Evaporator + i.SuctionSide + i.Oil
}
