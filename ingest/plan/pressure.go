package plan

import (
	"fmt"
	"math"
	"slices"

	"rimelog/ingest/naming"
	"rimelog/ingest/understood"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// settlePressure finds what a pressure is counted from. Nothing is assumed: the
// unit, the header, the preamble or values below zero tell, or the register must.
func (p *Plan) settlePressure(c *Column) {
	switch {
	case c.Unit.Reference != units.Unmarked:
		if !c.fromRows {
			c.Why = append(c.Why, fmt.Sprintf("%s by the unit %s", c.Unit.Reference, c.Unit.Label))
		}
	case naming.UnitNamed(c.Title.Label).Reference != units.Unmarked: // the register gave the unit without its reference
		c.Unit = c.Unit.WithReference(naming.UnitNamed(c.Title.Label).Reference)
		c.Why = append(c.Why, fmt.Sprintf("%s by the header's unit %s", c.Unit.Reference, c.Title.Label))
	case c.Target.Name == AirColumn:
		c.Unit = c.Unit.WithReference(units.Absolute)
		c.Why = append(c.Why, "the pressure of the air is absolute")
	case c.Title.Reference() != units.Unmarked:
		c.Unit = c.Unit.WithReference(c.Title.Reference())
		c.Why = append(c.Why, fmt.Sprintf("%s by the header", c.Unit.Reference))
	case p.Preamble.Gauge != units.Unmarked:
		c.Unit = c.Unit.WithReference(p.Preamble.Gauge)
		c.Why = append(c.Why, fmt.Sprintf("%s by the line %q", c.Unit.Reference, p.Preamble.Why))
	case p.Found.Gauge[c.Index] != "":
		c.Unit = c.Unit.WithReference(units.Gauge)
		c.Why = append(c.Why, "gauge: "+p.Found.Gauge[c.Index])
	default:
		c.Refuse = fmt.Sprintf("nothing says whether %q is gauge or absolute", c.Header)
		row := register.Channel{System: p.systemID(), Column: p.ColumnName(c.Index), Channel: c.registerName(), Reference: register.Gauge}
		p.ask(c.Refuse+"; if it is gauge", register.ChannelLine(row))
	}
	if c.Unit.Reference == units.Gauge {
		p.addAir(c)
	}
}

// addAir settles the pressure of the air that a gauge pressure is counted from.
func (p *Plan) addAir(c *Column) {
	altitude := math.NaN()
	if c.System < len(p.Systems) {
		altitude = p.Systems[c.System].Altitude
	}
	air, err := units.AirPressure(altitude)
	if err == nil {
		c.Plus = air
		c.Why = append(c.Why, fmt.Sprintf("%s kPa of air at %g m", air.FloatString(3), altitude))
		return
	}
	c.Plus = units.SeaLevel()
	note := understood.Note{
		Note:   fmt.Sprintf("altitude of %s not known: gauge pressures are counted from 101.325 kPa, at sea level", p.systemID()),
		Remedy: "write the altitude in metres into the system's row", Place: "register/systems.csv",
	}
	c.Why = append(c.Why, note.Note)
	if !slices.Contains(p.Notes, note) {
		p.Notes = append(p.Notes, note)
	}
}

// logAir takes the logged pressure of the air where the file holds it.
func (p *Plan) logAir() {
	for _, air := range p.Columns {
		if air.Kind != ChannelColumn || air.Target.Name != AirColumn || air.Refuse != "" {
			continue
		}
		for _, c := range p.Columns {
			if c.Kind == ChannelColumn && c.System == air.System && c.Unit.Reference == units.Gauge && c.Refuse == "" {
				c.Plus, c.Logged = nil, true
				c.Why = append(c.Why, fmt.Sprintf("the air's pressure from %q", air.Header))
				c.prepare(nil)
			}
		}
	}
}

// AirColumn holds the pressure of the air.
const AirColumn = "ambient_pressure_kpa"
