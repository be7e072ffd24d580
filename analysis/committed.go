package analysis

import (
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// asCommitted plans the results of a system as its generation has them, without asking what
// they are made from. It returns false, and leaves the plan as it was, where one is missing.
func (p *systemPlan) asCommitted() bool {
	c := committed{p.generation, p.system.ID, true}
	made := *p
	made.visits = c.of(StepVisits, table.Visits(), "")
	made.trends, made.causes, made.conditions = c.of(StepJudge, table.Trends(), ""), c.of(StepJudge, table.Causes(), ""), c.of(StepJudge, table.Conditions(), "")
	made.energy = energyPlan{
		days: c.of(StepEnergy, table.EnergyDays(), ""), seasons: c.of(StepEnergy, table.Seasons(), ""),
		saved: c.of(StepEnergy, table.Savings(), ""), spent: c.of(StepEnergy, table.Losses(), ""),
	}
	for _, f := range p.generation.Files {
		if f.Table != samplesName {
			continue
		}
		m, err := monthOf(f)
		if err != nil {
			return false
		}
		of := monthPlan{result: c.of(StepWindows, table.Windows(), m.Name), running: c.of(StepWindows, table.Running(), m.Name), month: m}
		made.windows = append(made.windows, of)
		made.energy.months = append(made.energy.months, energyMonth{of, c.of(StepMeter, table.EnergyWindows(), m.Name), c.of(StepMeter, table.EnergyHours(), m.Name)})
	}
	if c.all {
		*p = made
	}
	return c.all
}

// A committed is what a generation has of a system, and whether it had all it was asked for.
type committed struct {
	dataset.Generation
	id  string
	all bool
}

// of is the result of a step in a table, of a month or of the whole.
func (c *committed) of(step pipeline.Step, t table.Table, month string) result {
	path := t.Path(c.id, month)
	f, ok := c.File(path)
	c.all = c.all && ok && f.Step == step.String()
	return result{step, path, f.Fingerprint}
}
