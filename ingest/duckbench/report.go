package main

import (
	"fmt"
	"os"
	"slices"
	"text/tabwriter"
)

// titles says what each converter does.
var titles = map[string]string{
	"rimelog": "rimelog ingest: every cell validated, dataset committed and published",
	"default": "DuckDB COPY to Parquet, its defaults",
	"zstd":    "DuckDB COPY to Parquet, zstd",
	"tuned":   "DuckDB COPY to Parquet, decimals, format v2, no dictionary, zstd",
}

// report prints the medians, and the medians of the ratios within each round.
func report(uses map[string][]use) {
	tab := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tab, "CPU s\t(min..max)\twall s\t(min..max)\tpeak MB\tout MB\t  \t")
	for _, name := range converters {
		u := uses[name]
		fmt.Fprintf(tab, "%s\t%s\t%.0f\t%.1f\t  %s\t\n", spread(u, cpu), spread(u, wall), slices.Max(each(u, peak)), u[0].Size, titles[name])
	}
	tab.Flush()
	for _, name := range converters[1:] {
		fmt.Printf("%-8s takes %.2f times the CPU time and %.2f times the wall time of rimelog, which writes %.0f %% of its bytes\n",
			name, ratio(uses, name, cpu), ratio(uses, name, wall), 100*uses["rimelog"][0].Size/uses[name][0].Size)
	}
}

func cpu(u use) float64  { return u.CPU }
func wall(u use) float64 { return u.Wall }
func peak(u use) float64 { return u.Peak }

func each(list []use, of func(use) float64) []float64 {
	var v []float64
	for _, u := range list {
		v = append(v, of(u))
	}
	return v
}

func spread(list []use, of func(use) float64) string {
	v := each(list, of)
	return fmt.Sprintf("%.2f\t%.2f..%.2f", median(v), slices.Min(v), slices.Max(v))
}

// ratio is the median of a converter's figure divided by rimelog's of the same round.
func ratio(uses map[string][]use, name string, of func(use) float64) float64 {
	var v []float64
	for i, u := range uses[name] {
		v = append(v, of(u)/of(uses["rimelog"][i]))
	}
	return median(v)
}

func median(v []float64) float64 {
	v = slices.Sorted(slices.Values(v))
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}
