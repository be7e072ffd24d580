package demofleet

import (
	"rimelog/ingest/demofleet/plant"
	"rimelog/thermo"
)

// fluidTables holds the tables of the refrigerants made so far.
type fluidTables map[string]*plant.Fluid

// get makes a refrigerant's tables when they are first asked for.
func (t fluidTables) get(name string) (*plant.Fluid, error) {
	if f := t[name]; f != nil {
		return f, nil
	}
	r, err := thermo.Lookup(name)
	if err != nil {
		return nil, err
	}
	f, err := plant.NewFluid(r)
	if err != nil {
		return nil, err
	}
	t[name] = f
	return f, nil
}
