package main

import (
	"cmp"
	"flag"

	"rimelog/analysis/report"
)

// readers are the flags that say who reads the pages: they go before the options file.
type readers struct {
	language, units, pressure string
	single                    bool
}

func (r *readers) flags(fs *flag.FlagSet) {
	fs.StringVar(&r.language, "language", "", "`language` of the pages, such as en or de, in place of report.language in rimelog.json")
	fs.StringVar(&r.units, "units", "", "`units` of the pages: SI or IP, in place of report.units")
	fs.StringVar(&r.pressure, "pressure", "", "`reference` of the pages' pressures: gauge or absolute, in place of report.pressure")
	fs.BoolVar(&r.single, "single-file", false, "put the chart engine into each page, so that one page can be mailed alone")
}

// apply puts what was given into the options.
func (r *readers) apply(o *report.Options) error {
	o.Language, o.Units, o.Pressure = cmp.Or(r.language, o.Language), cmp.Or(r.units, o.Units), cmp.Or(r.pressure, o.Pressure)
	o.Single = o.Single || r.single
	if err := o.Validate(); err != nil {
		return usagef("%v", err)
	}
	return nil
}
