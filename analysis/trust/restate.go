package trust

import (
	"math"
	"slices"
	"strings"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// ofSaturation are the rules that may speak because saturation temperatures are those of
// another refrigerant.
var ofSaturation = []string{"D1", "D26", "D27", "D30"}

// The least superheat and subcooling that a restated visit may show, K: below that something
// besides the refrigerant is wrong.
const leastRestated = -2.0

// Restate works out anew what follows from the pressures of a visit, by a circuit's refrigerant
// and the instruments that measured them, and hides what doubts besides those of the refrigerant
// are about. The means of the stay that it is a part of tell what medium a condenser takes that
// may take water, and whether the machine heated.
func Restate(v *table.Visit, c *cycle.Circuit, in cycle.Instruments, stay Facts) {
	whole := rowOf(stay.Mean)
	c.Complete(whole)
	if c.Reversed(whole) {
		v.Mode = Heating
	}
	row := rowOfVisit(v, c.System.Kind, whole)
	c.Complete(&row)
	restate(v, &row, c, &in)
	if v.Use == table.UseNone && strings.HasPrefix(v.Reason, inDoubt) {
		v.Use, v.Reason = table.UseTrend, ""
	}
	Hide(v, slices.DeleteFunc(slices.Clone(stay.Doubts), func(d Doubt) bool { return slices.Contains(ofSaturation, d.Rule) }))
	hideImpossible(v)
}

// restate writes down what follows from a completed row. What the visit scattered is not known.
func restate(v *table.Visit, row *cycle.Row, c *cycle.Circuit, in *cycle.Instruments) {
	is, again := c.Budgets(row, in)
	spread := cycle.NewRow()
	performance, _ := c.CompressorWithin(row, in, &spread)
	u := func(b *cycle.Budgets, q cycle.Quantity) float64 {
		if math.IsNaN(row[q]) {
			return math.NaN()
		}
		return b[q].Standard()
	}
	v.Superheat, v.SuperheatU, v.SuperheatHalf, v.SuperheatRepeatU = row[cycle.Superheat], u(&is, cycle.Superheat), is[cycle.Superheat].Half(), u(&again, cycle.Superheat)
	v.Subcooling, v.SubcoolingU, v.SubcoolingHalf, v.SubcoolingRepeatU = row[cycle.Subcooling], u(&is, cycle.Subcooling), is[cycle.Subcooling].Half(), u(&again, cycle.Subcooling)
	v.EvaporatingTemp, v.CondensingTemp = row[cycle.Evaporating], row[cycle.Condensing]
	v.DischargeSuperheat, v.DischargeU = row[cycle.DischargeSuperheat], u(&is, cycle.DischargeSuperheat)
	v.EvaporatorTD, v.EvaporatorTDU = row[cycle.EvaporatorTD], u(&is, cycle.EvaporatorTD)
	v.CondenserTD, v.CondenserTDU = row[cycle.CondenserTD], u(&is, cycle.CondenserTD)
	v.IsentropicEfficiency, v.IsentropicEfficiencyU = row[cycle.IsentropicEfficiency], performance.IsentropicEfficiency
	v.CoolingCOP, v.CoolingCOPU, v.HeatingCOP, v.HeatingCOPU = row[cycle.CoolingCOP], performance.CoolingCOP, row[cycle.HeatingCOP], performance.HeatingCOP
	v.CarnotFraction = row[cycle.CarnotFraction]
	v.StandstillExcess = math.NaN() // by the register's refrigerant
}

// hideImpossible hides what no machine shows.
func hideImpossible(v *table.Visit) {
	nan := math.NaN()
	if v.Superheat < leastRestated {
		v.Superheat, v.SuperheatU, v.SuperheatHalf, v.SuperheatRepeatU = nan, nan, nan, nan
	}
	if v.Subcooling < leastRestated {
		v.Subcooling, v.SubcoolingU, v.SubcoolingHalf, v.SubcoolingRepeatU = nan, nan, nan, nan
	}
}

// rowOfVisit is what was measured at a visit. Its columns tell the media of all but chillers,
// whose condenser may take water.
func rowOfVisit(v *table.Visit, kind register.Kind, whole *cycle.Row) cycle.Row {
	row := cycle.NewRow()
	row[cycle.SuctionPressure], row[cycle.DischargePressure], row[cycle.LiquidPressure] = v.SuctionPressure, v.DischargePressure, v.LiquidPressure
	row[cycle.SuctionTemp], row[cycle.DischargeTemp], row[cycle.LiquidTemp] = v.SuctionTemp, v.DischargeTemp, v.LiquidTemp
	row[cycle.OutdoorTemp], row[cycle.Power] = v.OutdoorTemp, v.Power
	switch {
	case kind.Heats():
		row[cycle.SinkInlet], row[cycle.SourceInlet] = v.RoomTemp, v.OutdoorTemp
	case kind == register.Chiller:
		row[cycle.CondenserAirOn], row[cycle.EvaporatorAirOn] = whole[cycle.CondenserMedium], v.RoomTemp
	default:
		row[cycle.CondenserAirOn], row[cycle.EvaporatorAirOn] = v.OutdoorTemp, v.RoomTemp
	}
	return row
}
