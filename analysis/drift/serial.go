package drift

import (
	"cmp"
	"math"
	"slices"

	"rimelog/pipeline/table"
)

// A showing is what one instrument showed more than expected at one system.
type showing struct {
	serial, feature, system string
	residuals               []float64
}

// InstrumentsCompared finds what each instrument shows against others: at systems where
// several were used, the residuals from the system's baseline, averaged by system, since
// visits to one machine err together. Baselines are those of all systems.
func InstrumentsCompared(fleet []Record, baselines []table.Baseline) []table.InstrumentCompared {
	of := map[string]table.Baseline{}
	for _, b := range baselines {
		of[b.System+"\x00"+b.Feature] = b
	}
	seen := map[[2]string]map[string]*showing{} // by serial and feature, then by system
	for _, r := range fleet {
		if !r.several() {
			continue
		}
		for k, f := range features() {
			b, ok := of[r.System.ID+"\x00"+f.column]
			if !ok {
				continue
			}
			for _, p := range r.points {
				r.show(seen, b, k, p)
			}
		}
	}
	return offsets(seen)
}

// several tells whether different sets of instruments were used at a system.
func (r Record) several() bool {
	for _, p := range r.points {
		if p.set != r.points[0].set {
			return true
		}
	}
	return false
}

// show adds a point to what its instruments showed.
func (r Record) show(seen map[[2]string]map[string]*showing, b table.Baseline, k int, p point) {
	v, _, ok := Expected(b, p.outdoor)
	if !ok || math.IsNaN(p.values[k]) || p.at.Before(b.Since) || p.at.After(b.Until) {
		return
	}
	for _, serial := range serialsOf(p.set) {
		key := [2]string{serial, b.Feature}
		if seen[key] == nil {
			seen[key] = map[string]*showing{}
		}
		s := seen[key][r.System.ID]
		if s == nil {
			s = &showing{serial, b.Feature, r.System.ID, nil}
			seen[key][r.System.ID] = s
		}
		s.residuals = append(s.residuals, p.values[k]-v)
	}
}

// What an offset needs: some systems, and a size that matters.
const (
	leastSystems = 3
	leastOffset  = 0.5 // K
)

// offsets averages what was shown.
func offsets(seen map[[2]string]map[string]*showing) []table.InstrumentCompared {
	out := []table.InstrumentCompared{}
	for key, systems := range seen {
		c := table.InstrumentCompared{Serial: key[0], Feature: key[1], Systems: int64(len(systems)), Offset: math.NaN(), OffsetU: math.NaN()}
		var means []float64
		for _, s := range systems {
			c.Visits += int64(len(s.residuals))
			slices.Sort(s.residuals)
			means = append(means, mean(s.residuals))
		}
		slices.Sort(means) // so that the sum comes out the same
		if len(means) >= leastSystems {
			c.Offset = mean(means)
			c.OffsetU = math.Sqrt(spreadAbout(means, c.Offset) / float64(len(means)))
			c.Doubtful = math.Abs(c.Offset) > oddBy*c.OffsetU && math.Abs(c.Offset) >= leastOffset
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b table.InstrumentCompared) int {
		return cmp.Or(cmp.Compare(a.Serial, b.Serial), cmp.Compare(a.Feature, b.Feature))
	})
	return out
}

// spreadAbout is the variance of values about a mean, not below what few of them pretend.
func spreadAbout(x []float64, mean float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return math.Max(sum/float64(len(x)-1), 0.1*0.1)
}
