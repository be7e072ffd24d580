package records

import (
	"cmp"
	"slices"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// stock is what went in and out of the systems, by year and refrigerant.
func stock(circuits []*circuit) []table.Movement {
	type key struct {
		year        int
		refrigerant string
	}
	at := map[key]int{}
	var out []table.Movement
	for _, c := range circuits {
		for _, e := range c.events {
			if !e.moves() {
				continue
			}
			k := key{e.day.Year(), c.fluidOf(e)}
			i, ok := at[k]
			if !ok {
				i, at[k] = len(out), len(out)
				out = append(out, table.Movement{Year: int64(k.year), Refrigerant: k.refrigerant})
			}
			move(&out[i], c, e)
		}
	}
	slices.SortFunc(out, func(a, b table.Movement) int {
		return cmp.Or(cmp.Compare(a.Year, b.Year), cmp.Compare(a.Refrigerant, b.Refrigerant))
	})
	return out
}

// move books one event.
func move(m *table.Movement, c *circuit, e entry) {
	if !e.weighed() {
		m.Unweighed++
		return
	}
	switch {
	case e.first():
		m.First += e.KG
	case e.Kind == register.Recovered:
		m.Recovered -= e.KG
	case e.Quality == register.NewRefrigerant:
		m.New += e.KG
	case e.Quality == register.Recycled:
		m.Recycled += e.KG
	case e.Quality == register.Reclaimed:
		m.Reclaimed += e.KG
	default:
		m.Unsaid += e.KG
	}
	m.Net += e.KG
	m.CO2e += c.co2e(e, e.KG)
}

// fleetLoss is what the whole fleet lost in each year.
func fleetLoss(circuits []*circuit) []table.FleetLoss {
	byYear := map[int]*table.FleetLoss{}
	for _, c := range circuits {
		for _, year := range c.years() {
			if !c.inService(year) {
				continue
			}
			y := byYear[year]
			if y == nil {
				y = &table.FleetLoss{Year: int64(year), Partial: c.asOf.Before(endOf(year))}
				byYear[year] = y
			}
			if !c.charge.Known() {
				y.Unknown++
				continue
			}
			s := c.sum(inYear(year))
			y.Systems++
			y.Charge += c.charge.Mid
			y.Replaced += s.replaced()
			y.CO2e += s.co2e
		}
	}
	var out []table.FleetLoss
	for _, y := range byYear {
		y.Pct = nan
		if y.Charge > 0 {
			y.Pct = y.Replaced / y.Charge * 100
		}
		out = append(out, *y)
	}
	slices.SortFunc(out, func(a, b table.FleetLoss) int { return cmp.Compare(a.Year, b.Year) })
	return out
}

// inService tells whether the system had been installed and not been decommissioned
// before a year.
func (c *circuit) inService(year int) bool {
	for _, e := range c.events {
		if e.Kind == register.Install && e.day.Year() > year || c.gone && e.Kind == register.Decommissioned && e.day.Year() < year {
			return false
		}
	}
	return true
}
