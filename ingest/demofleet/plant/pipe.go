package plant

// A Pipe loses pressure with the square of the flow over the density. The zero Pipe
// loses none.
type Pipe struct {
	Drop    float64 // at this flow and density, kPa
	Flow    float64 // kg/s
	Density float64 // kg/m³
}

func (p Pipe) drop(flow, density float64) float64 {
	if p.Drop == 0 {
		return 0
	}
	share := flow / p.Flow
	return p.Drop * share * share * p.Density / density
}

// Oil holds refrigerant: by Raoult's law its mole fraction is the pressure over the
// saturation pressure at the oil's temperature. The oil's molar mass is from memory;
// that of a shell is a third of the way from suction to discharge gas (assumed).
const (
	oilMolar   = 0.5 // kg/mol
	oilBetween = 0.35
	oilFullest = 0.9 // mole fraction beyond which the law is not followed
)

// dissolved is the refrigerant in the compressor's oil, kg.
func (p *Plant) dissolved(s *Point) float64 {
	if p.Oil == 0 {
		return 0
	}
	warm := s.Suction + oilBetween*(s.Discharge-s.Suction)
	x := min(s.SuctionPressure/p.Fluid.Pressure(warm), oilFullest)
	return p.Oil * p.Fluid.molar / oilMolar * x / (1 - x)
}
