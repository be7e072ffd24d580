package records

import (
	"fmt"
	"math"
	"time"

	"rimelog/pipeline/table"
)

// The names of what is crossed.
const (
	crossedRate    = "leak rate"
	crossedLoss    = "specific loss"
	crossedChronic = "chronic leaker"
)

// chronicPct is the share of the full charge, %, that makes a chronic leaker when it is
// added in a calendar year, where no rule set says otherwise (40 CFR 82.157(j) and
// 84.106, by a secondary text).
const chronicPct = 125

// leakYears is what the system lost in each calendar year.
func (c *circuit) leakYears(rates []table.LeakRate) (out []table.LeakYear) {
	for _, year := range c.years() {
		s := c.sum(inYear(year))
		y := table.LeakYear{
			System: c.id, Year: int64(year), Added: s.lost, Recovered: s.returned, Replaced: s.replaced(),
			ReplacedPct: s.replaced() / c.charge.Mid * 100, CO2e: s.co2e, Annualizing: nan, Rolling: nan, LossLimit: nan,
			Chronic: s.lost/c.charge.Mid*100 >= chronicPct,
		}
		for _, r := range rates {
			if r.On.Year() == year {
				y.Annualizing = highest(y.Annualizing, r.Annualizing)
				y.Rolling = highest(y.Rolling, r.Rolling)
			}
		}
		if _, limit, ok := c.lossRule(endOf(year)); ok {
			y.LossLimit = limit
		}
		out = append(out, y)
	}
	return out
}

func highest(a, b float64) float64 {
	if math.IsNaN(a) {
		return b
	}
	return max(a, b)
}

func endOf(year int) time.Time { return time.Date(year, 12, 31, 0, 0, 0, 0, time.UTC) }

// lossRule is the set that limits what may be lost in a year, with the limit for the
// system's charge.
func (c *circuit) lossRule(day time.Time) (s RuleSet, pct float64, ok bool) {
	for _, s := range c.rules.On(c.jurisdiction, day) {
		r := s.LossLimits
		if r == nil || !s.on(r.Source, day) || c.fluid == nil || !c.charge.Known() {
			continue
		}
		if _, share := s.Part(c.fluid, r.Group); share == 0 {
			continue
		}
		for _, class := range r.Classes {
			if c.charge.Mid >= class.FromKG {
				pct = class.Pct
			}
		}
		return s, pct, true
	}
	return RuleSet{}, nan, false
}

// crossings are the days on which the system passed a limit.
func (c *circuit) crossings(rates []table.LeakRate) (out []table.Crossing) {
	out = c.rateCrossings(rates)
	for _, year := range c.years() {
		out = append(out, c.lossCrossing(year)...)
		out = append(out, c.chronic(year)...)
	}
	return out
}

// rateCrossings are the additions that stand for a leak rate above the limit, by the
// method that was chosen for the fleet.
func (c *circuit) rateCrossings(rates []table.LeakRate) (out []table.Crossing) {
	for _, r := range rates {
		s, rule, limit, ok := c.rateRule(r.On)
		value, least := r.Annualizing, r.AnnualizedLo
		if c.options.Method == MethodRolling {
			value, least = r.Rolling, r.RollingLo
		}
		if !ok || !(value > limit) {
			continue
		}
		use, doubt := c.use()
		out = append(out, table.Crossing{
			System: c.id, On: r.On, What: crossedRate, Value: value, Limit: limit, Certain: least > limit && doubt == "" && c.charge.Lo >= rule.FromKG,
			Note:         both(fmt.Sprintf("%s kg added to %s, %s method, limit for %s", number(r.Added), c.charge, c.options.Method, use), doubt),
			Jurisdiction: s.Jurisdiction, Rule: s.passage(rule.Source), Standing: rule.Standing,
		})
	}
	return out
}

// lossCrossing is the day on which what was replaced in a year passed the limit.
func (c *circuit) lossCrossing(year int) []table.Crossing {
	var kg float64
	for _, e := range c.events {
		if e.day.Year() != year || !e.weighed() || !c.replaces(e) && !c.returns(e) {
			continue
		}
		kg += e.KG // negative where it came out
		s, limit, ok := c.lossRule(e.day)
		pct := kg / c.charge.Mid * 100
		if !ok || !(pct > limit) {
			continue
		}
		r := s.LossLimits
		return []table.Crossing{{
			System: c.id, On: e.day, What: crossedLoss, Value: pct, Limit: limit, Certain: kg/c.charge.Hi*100 > limit,
			Note:         fmt.Sprintf("%s kg of %s replaced since the beginning of %d", number(kg), c.charge, year),
			Jurisdiction: s.Jurisdiction, Rule: s.passage(r.Source), Standing: r.Standing,
		}}
	}
	return nil
}

// chronic is the day on which a year's additions made the system a chronic leaker.
func (c *circuit) chronic(year int) []table.Crossing {
	for _, day := range c.lossDays() {
		if day.Year() != year {
			continue
		}
		s, rule, _, ok := c.rateRule(day)
		kg := c.lostBetween(time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC), day)
		if pct := kg / c.charge.Mid * 100; ok && pct >= rule.Chronic.Pct {
			return []table.Crossing{{
				System: c.id, On: day, What: crossedChronic, Value: pct, Limit: rule.Chronic.Pct, Certain: kg/c.charge.Hi*100 >= rule.Chronic.Pct,
				Note:         fmt.Sprintf("%s kg added in %d to %s", number(kg), year, c.charge),
				Jurisdiction: s.Jurisdiction, Rule: s.passage(rule.Chronic.Source), Standing: rule.Chronic.Standing,
			}}
		}
	}
	return nil
}
