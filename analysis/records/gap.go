package records

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The weights of a gap.
const (
	missing  = "missing"
	doubtful = "doubtful"
)

// gaps are what the system's record lacks, and what in it cannot be.
func (c *circuit) gaps() []table.RecordGap {
	out := c.refused()
	out = append(out, c.unruled()...)
	out = append(out, c.required()...)
	out = append(out, c.implausible()...)
	slices.SortStableFunc(out, func(a, b table.RecordGap) int {
		return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Place, b.Place), cmp.Compare(a.Problem, b.Problem))
	})
	return out
}

// refused are the cells and rows that the register could not take.
func (c *circuit) refused() (out []table.RecordGap) {
	for _, p := range c.Problems {
		out = append(out, table.RecordGap{System: c.id, Place: p.Place(), Problem: p.What(), Remedy: p.Remedy, Weight: missing})
	}
	return out
}

// unruled says that nobody knows whose rules hold, or that none of ours do.
func (c *circuit) unruled() []table.RecordGap {
	g := table.RecordGap{System: c.id, Place: systemPlace(c.Register.Line), Weight: missing}
	switch {
	case c.gone:
		return nil
	case c.jurisdiction == "":
		g.Problem, g.Remedy = "jurisdiction is empty, so that no rule can say what is due", "write the country's two letters, such as DE, GB or US, or set records.jurisdiction in rimelog.json"
	case len(c.sets) == 0:
		g.Problem, g.Remedy = "no rule set is known for "+c.jurisdiction+" on "+date(c.asOf), "put one into rules/ of the workspace, or look up what holds there"
	default:
		return nil
	}
	return []table.RecordGap{g}
}

// required are the columns that the rules of each day ask for and that are empty: one
// row for each line of the register.
func (c *circuit) required() (out []table.RecordGap) {
	if lacks, rule := c.lacksOfSystem(); len(lacks) > 0 && !c.gone {
		out = append(out, table.RecordGap{System: c.id, Place: systemPlace(c.Register.Line), Weight: missing, Rule: rule,
			Problem: c.id + ": " + strings.Join(lacks, ", ") + " empty", Remedy: "write " + strings.Join(lacks, ", ")})
	}
	for _, e := range c.events {
		if lacks, rule := c.lacksOf(e); len(lacks) > 0 {
			out = append(out, table.RecordGap{System: c.id, On: e.day, Place: e.place(), Weight: missing, Rule: rule,
				Problem: e.Kind.String() + " of " + date(e.day) + ": " + strings.Join(lacks, ", ") + " empty",
				Remedy:  "write a later line with corrects = " + date(e.day) + " " + e.Kind.String() + " that has " + strings.Join(lacks, ", ")})
		}
	}
	return out
}

// lacksOfSystem are the columns of systems.csv that the rules in force ask for.
func (c *circuit) lacksOfSystem() (lacks []string, rule string) {
	for _, s := range c.sets {
		if s.Records == nil || !s.on(s.Records.Source, c.asOf) {
			continue
		}
		for _, q := range s.Records.Require {
			for _, name := range q.System {
				if c.emptyInSystem(name) && !slices.Contains(lacks, name) {
					lacks, rule = append(lacks, name), s.passage(s.Records.Source)+" "+q.Text
				}
			}
		}
	}
	return lacks, rule
}

// emptyInSystem tells whether the system's row leaves a column empty. A charge that the
// record has is not lacking.
func (c *circuit) emptyInSystem(name string) bool {
	if name == "design_charge_kg" {
		return !c.charge.Known()
	}
	return c.Register.Cell(name) == ""
}

// lacksOf are the columns of an event that the rules of its day ask for.
func (c *circuit) lacksOf(e entry) (lacks []string, rule string) {
	for _, s := range c.rules.On(c.jurisdiction, e.day) {
		if s.Records == nil || !s.on(s.Records.Source, e.day) {
			continue
		}
		var letters []string
		for _, q := range s.Records.Require {
			if !slices.Contains(q.Events, e.Kind.String()) || len(q.Qualities) > 0 && !slices.Contains(q.Qualities, e.Quality.String()) {
				continue
			}
			for _, name := range q.Columns {
				if !c.filled(e, name) && !slices.Contains(lacks, name) {
					lacks, letters = append(lacks, name), append(letters, q.Text)
				}
			}
		}
		if len(letters) > 0 {
			rule = s.passage(s.Records.Source) + " " + strings.Join(slices.Compact(letters), ", ")
		}
	}
	return lacks, rule
}

// filled tells whether an event has a column that a rule asks for. The refrigerant that
// is in the system need not be named again, and an outcome may stand in words.
func (c *circuit) filled(e entry, name string) bool {
	switch name {
	case "refrigerant":
		return c.fluidOf(e) != ""
	case "outcome":
		return e.Outcome != register.OutcomeUnknown || e.Result != ""
	case "result":
		return e.Outcome != register.OutcomeUnknown || e.Result != "" || e.Note != ""
	case "kg":
		return !math.IsNaN(e.KG)
	}
	return e.Cell(name) != ""
}

// unplaced are the events that stand and have no day: nobody knows what came before.
func (c *circuit) unplaced() (out []register.Event) {
	for _, e := range c.Book {
		if e.CorrectedBy == 0 && e.Kind != register.Cancelled && e.Time.IsZero() {
			out = append(out, e)
		}
	}
	return out
}

// later are the events that stand after the day of the report.
func (c *circuit) later() (out []register.Event) {
	for _, e := range c.Book {
		if e.CorrectedBy == 0 && e.Kind != register.Cancelled && calendarDay(e.Time).After(c.asOf) {
			out = append(out, e)
		}
	}
	return out
}

func gapAt(c *circuit, e entry, problem, remedy string) table.RecordGap {
	return table.RecordGap{System: c.id, On: e.day, Place: e.place(), Problem: problem, Remedy: remedy, Weight: doubtful}
}
