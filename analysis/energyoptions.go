package analysis

import "rimelog/analysis/energy"

// EnergyOptions are the options of package energy as they stand in the file.
type EnergyOptions struct {
	BinWidth   float64 `json:"bin_width_k" doc:"width of a bin of outdoor temperature or lift"`
	BinWindows int     `json:"bin_windows" doc:"windows that a bin needs to be compared"`
	BinDays    int     `json:"bin_days" doc:"days that a bin needs to be compared"`
	Axis       string  `json:"axis" doc:"what bins are made of: outdoor temperature, or lift"`
	Weights    string  `json:"weights" doc:"how bins count between seasons: actual, or a season of EN 14825: average heating season, warmer heating season, colder heating season, cooling season"`
	Path       string  `json:"path" doc:"limits a model must meet before savings are stated: calibrated simulation, hourly; calibrated simulation, monthly; whole-building regression (from memory: check the edition)"`
}

func (o Options) energy() energy.Options {
	e := o.Energy
	return energy.Options{BinWidth: e.BinWidth, BinWindows: e.BinWindows, BinDays: e.BinDays, Axis: e.Axis, Weights: e.Weights, Path: e.Path}
}

// defaultEnergy is the section with every field at its default.
func defaultEnergy() EnergyOptions {
	var e energy.Options
	e.EnsureDefaults()
	return EnergyOptions{BinWidth: e.BinWidth, BinWindows: e.BinWindows, BinDays: e.BinDays, Axis: e.Axis, Weights: e.Weights, Path: e.Path}
}
