package ingest

import (
	"fmt"
	"math"
	"slices"

	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// settlePressure finds what a pressure is counted from. Nothing is assumed: the
// unit, the header, the preamble or values below zero tell, or the register must.
func (p *plan) settlePressure(c *column) {
	switch {
	case c.unit.Reference != units.Unmarked:
		if !c.fromRows {
			c.why = append(c.why, fmt.Sprintf("%s by the unit %s", c.unit.Reference, c.unit.Label))
		}
	case unitNamed(c.title.label).Reference != units.Unmarked: // the register gave the unit without its reference
		c.unit = c.unit.WithReference(unitNamed(c.title.label).Reference)
		c.why = append(c.why, fmt.Sprintf("%s by the header's unit %s", c.unit.Reference, c.title.label))
	case c.target.Name == airColumn:
		c.unit = c.unit.WithReference(units.Absolute)
		c.why = append(c.why, "the pressure of the air is absolute")
	case c.title.reference() != units.Unmarked:
		c.unit = c.unit.WithReference(c.title.reference())
		c.why = append(c.why, fmt.Sprintf("%s by the header", c.unit.Reference))
	case p.preamble.gauge != units.Unmarked:
		c.unit = c.unit.WithReference(p.preamble.gauge)
		c.why = append(c.why, fmt.Sprintf("%s by the line %q", c.unit.Reference, p.preamble.why))
	case p.found.gauge[c.index] != "":
		c.unit = c.unit.WithReference(units.Gauge)
		c.why = append(c.why, "gauge: "+p.found.gauge[c.index])
	default:
		c.refuse = fmt.Sprintf("nothing says whether %q is gauge or absolute", c.header)
		row := register.Channel{System: p.systemID(), Column: p.columnName(c.index), Channel: c.registerName(), Reference: register.Gauge}
		p.ask(c.refuse+"; if it is gauge", register.ChannelLine(row))
	}
	if c.unit.Reference == units.Gauge {
		p.addAir(c)
	}
}

// addAir settles the pressure of the air that a gauge pressure is counted from.
func (p *plan) addAir(c *column) {
	altitude := math.NaN()
	if c.system < len(p.systems) {
		altitude = p.systems[c.system].Altitude
	}
	air, err := units.AirPressure(altitude)
	if err == nil {
		c.plus = air
		c.why = append(c.why, fmt.Sprintf("%s kPa of air at %g m", air.FloatString(3), altitude))
		return
	}
	c.plus = units.SeaLevel()
	note := Note{
		Note:   fmt.Sprintf("altitude of %s not known: gauge pressures are counted from 101.325 kPa, at sea level", p.systemID()),
		Remedy: "write the altitude in metres into the system's row", Place: "register/systems.csv",
	}
	c.why = append(c.why, note.Note)
	if !slices.Contains(p.notes, note) {
		p.notes = append(p.notes, note)
	}
}

// logAir takes the logged pressure of the air where the file holds it.
func (p *plan) logAir() {
	for _, air := range p.columns {
		if air.kind != channelColumn || air.target.Name != airColumn || air.refuse != "" {
			continue
		}
		for _, c := range p.columns {
			if c.kind == channelColumn && c.system == air.system && c.unit.Reference == units.Gauge && c.refuse == "" {
				c.plus, c.logged = nil, true
				c.why = append(c.why, fmt.Sprintf("the air's pressure from %q", air.header))
				c.prepare(nil)
			}
		}
	}
}
