package cycle

import "math"

// Dew is the dew temperature at a pressure in absolute kPa, °C; NaN where there is none.
func (c *Circuit) Dew(kpa float64) float64 { return c.saturatedAt(&c.dew, kpa) }

// Bubble is the bubble temperature at a pressure in absolute kPa, °C; NaN where
// there is none.
func (c *Circuit) Bubble(kpa float64) float64 { return c.saturatedAt(&c.bubble, kpa) }

func (c *Circuit) saturatedAt(line *curve, kpa float64) float64 {
	if c.Refrigerant == nil {
		return math.NaN()
	}
	t, err := line.at(kpa)
	if err != nil {
		return math.NaN()
	}
	return t
}

// Complete fills in what follows from the measured quantities of a row, as Derive
// does for samples.
func (c *Circuit) Complete(row *Row) {
	row[Evaporating], row[Condensing] = c.Dew(row[SuctionPressure]), c.Dew(row[DischargePressure])
	row[Superheat] = either(row[SuctionTemp], row[OutletTemp]) - row[Evaporating]
	row[Subcooling] = c.Bubble(either(row[LiquidPressure], row[DischargePressure])) - row[LiquidTemp]
	row[DischargeSuperheat] = row[DischargeTemp] - row[Condensing]
	row[CondenserMedium] = row.first(c.condenserMedia())
	row[EvaporatorMedium] = row.first(c.evaporatorMedia())
	row[CondenserTD] = row[Condensing] - row[CondenserMedium]
	row[EvaporatorTD] = row[EvaporatorMedium] - row[Evaporating]
	row[PressureRatio] = row[DischargePressure] / row[SuctionPressure]
}

// first is the first known value of some quantities; NaN where none is.
func (r *Row) first(choice []Quantity) float64 {
	for _, q := range choice {
		if !math.IsNaN(r[q]) {
			return r[q]
		}
	}
	return math.NaN()
}

func either(a, b float64) float64 {
	if math.IsNaN(a) {
		return b
	}
	return a
}
