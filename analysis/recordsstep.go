package analysis

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// StepRecords keeps the books of refrigerant of the whole fleet.
var StepRecords = pipeline.Step{Name: "records", Version: 1}

// A recordsPlan is the tables of the records, with what they are made from.
type recordsPlan struct {
	generation dataset.Generation
	findings   dataset.File
	day        records.Date
	uploads    map[string][]records.Upload // of each system
	to         map[string]result           // by table
}

// recordTables are the tables that the step makes.
func recordTables() []table.Table {
	return []table.Table{
		table.LeakChecks(), table.LeakRates(), table.LeakYears(), table.Crossings(), table.ServiceBans(), table.RecordGaps(), table.Stock(),
		table.Balances(), table.FleetLosses(), table.ChargesCompared(), table.RecordBook(), table.AuditTrail(),
	}
}

func (p recordsPlan) results() (out []result) {
	for _, t := range recordTables() {
		out = append(out, p.to[t.Name])
	}
	return out
}

// planRecords plans one job: to keep the books. It follows the ranking, whose findings
// stand in the list of what is due.
func (s *Stage) planRecords(ctx context.Context) ([]pipeline.Job, error) {
	var p recordsPlan
	var err error
	p.generation = s.fleet.generation
	if p.findings, err = s.file(ctx, p.generation, s.fleet.findingsTo); err != nil {
		return nil, err
	}
	p.day = s.recordsDay()
	p.uploads = map[string][]records.Upload{}
	for _, sys := range s.systems {
		for _, part := range sys.generation.Parts {
			p.uploads[sys.system.ID] = append(p.uploads[sys.system.ID], records.Upload{Path: part.Path, SHA256: part.Upload})
		}
	}
	s.addressRecords(&p)
	s.records = p
	return []pipeline.Job{{
		Key:  pipeline.Key{Step: StepRecords.Name, Unit: dataset.FleetUnit},
		Done: func(ctx context.Context) (bool, error) { return s.allDone(ctx, p.generation, p.results()) },
		Do:   func(ctx context.Context) error { return s.keepRecords(ctx, p) },
	}}, nil
}

// recordsDay is the day on which the books are closed.
func (s *Stage) recordsDay() records.Date {
	day := s.fleet.asOf
	return records.Date{On: day, LookBack: day.Before(s.fleet.newest.UTC().Truncate(around))}
}

// addressRecords gives the tables their fingerprints.
func (s *Stage) addressRecords(p *recordsPlan) {
	p.to = map[string]result{}
	from := s.digestOf(StepRecords, func(h pipeline.Hasher) {
		for _, sys := range s.Register.Systems {
			h.Add("register", s.Register.RecordRows(sys.ID))
			h.Add("uploads", fmt.Sprint(p.uploads[sys.ID]))
		}
		for _, e := range recordProblems(s.Register) {
			h.Add("problem", e.Error())
		}
		for _, sys := range s.systems {
			h.Add("visits", string(sys.visits.fp))
		}
		h.Add("findings", p.findings.SHA256)
		h.Add("rules", s.Rules.Key())
		h.Add("options", s.Options.Records.Key())
		h.Add("as of", p.day.On.Format(time.DateOnly)+" "+strconv.FormatBool(p.day.LookBack))
	})
	for _, t := range recordTables() {
		p.to[t.Name] = s.resultOf(StepRecords, t.Path("", ""), func(h pipeline.Hasher) { h.Add("from", from) })
	}
}

// allDone tells whether all results are there.
func (s *Stage) allDone(ctx context.Context, g dataset.Generation, results []result) (bool, error) {
	for _, r := range results {
		done, err := s.Dataset.Done(ctx, g, r.fp, r.path)
		if err != nil || !done {
			return false, err
		}
	}
	return true, nil
}

// keepRecords makes the tables of the records.
func (s *Stage) keepRecords(ctx context.Context, p recordsPlan) error {
	systems, err := s.recordSystems(ctx, p)
	if err != nil {
		return fmt.Errorf("%s: %w", StepRecords.Name, err)
	}
	b := records.Keep(systems, s.Rules, s.Options.Records, p.day)
	return firstOf(
		func() error { return stageRows(ctx, s.Dataset, p.to["leak_checks"], table.LeakChecks(), b.LeakChecks) },
		func() error { return stageRows(ctx, s.Dataset, p.to["leak_rates"], table.LeakRates(), b.LeakRates) },
		func() error { return stageRows(ctx, s.Dataset, p.to["leak_years"], table.LeakYears(), b.LeakYears) },
		func() error { return stageRows(ctx, s.Dataset, p.to["crossings"], table.Crossings(), b.Crossings) },
		func() error { return stageRows(ctx, s.Dataset, p.to["service_bans"], table.ServiceBans(), b.Bans) },
		func() error { return stageRows(ctx, s.Dataset, p.to["record_gaps"], table.RecordGaps(), b.Gaps) },
		func() error { return stageRows(ctx, s.Dataset, p.to["stock"], table.Stock(), b.Stock) },
		func() error { return stageRows(ctx, s.Dataset, p.to["balance"], table.Balances(), b.Balances) },
		func() error { return stageRows(ctx, s.Dataset, p.to["fleet_loss"], table.FleetLosses(), b.FleetLoss) },
		func() error {
			return stageRows(ctx, s.Dataset, p.to["charge_compared"], table.ChargesCompared(), b.Compared)
		},
		func() error { return stageRows(ctx, s.Dataset, p.to["record_book"], table.RecordBook(), b.Book) },
		func() error { return stageRows(ctx, s.Dataset, p.to["record_audit"], table.AuditTrail(), b.Audit) },
	)
}

// recordSystems gathers what the books need of each system of the register.
func (s *Stage) recordSystems(ctx context.Context, p recordsPlan) ([]records.System, error) {
	findings := map[string][]table.Finding{}
	if p.findings.Path != "" {
		rows, err := read[table.Finding](ctx, s.Dataset, p.findings)
		if err != nil {
			return nil, err
		}
		for _, f := range rows {
			if f.Kind == drift.ChargeLoss {
				findings[f.System] = append(findings[f.System], f)
			}
		}
	}
	judged, err := s.judgedVisits(ctx)
	if err != nil {
		return nil, err
	}
	problems := map[string][]*register.RowError{}
	for _, e := range recordProblems(s.Register) {
		problems[e.System] = append(problems[e.System], e)
	}
	var out []records.System
	for _, sys := range s.Register.Systems {
		out = append(out, records.System{
			Register: sys, Book: s.Register.Book(sys.ID), Problems: problems[sys.ID],
			Findings: findings[sys.ID], Judged: judged[sys.ID], Uploads: p.uploads[sys.ID],
		})
	}
	return out, nil
}

// judgedVisits are the visits that trends are judged by, of the systems that refrigerant
// was added to: no other's kilograms are held against logs.
func (s *Stage) judgedVisits(ctx context.Context) (map[string][]time.Time, error) {
	out := map[string][]time.Time{}
	for _, p := range s.systems {
		id := p.system.ID
		if !filledUp(s.Register.Events(id)) {
			continue
		}
		if s.fleet.judged != nil {
			out[id] = s.fleet.judged[id]
			continue
		}
		visits, err := rowsOfResult[visitUse](ctx, s, p.generation, p.visits)
		if err != nil {
			return nil, err
		}
		for _, v := range visits {
			if v.Use == table.UseTrend {
				out[id] = append(out[id], v.Start)
			}
		}
	}
	return out, nil
}

// A visitUse is what records ask of a visit.
type visitUse struct {
	Start time.Time `col:"start" doc:"first sample, UTC"`
	Use   string    `col:"use" doc:"what the visit is used for"`
}

// judgedIn are the visits that trends are judged by.
func judgedIn(visits []table.Visit) (starts []time.Time) {
	for i := range visits {
		if visits[i].Use == table.UseTrend {
			starts = append(starts, visits[i].Start)
		}
	}
	return starts
}

func filledUp(events []register.Event) bool {
	for _, e := range events {
		if e.Kind == register.ChargeAdded {
			return true
		}
	}
	return false
}

// recordProblems are what is wrong in the rows that records are made from.
func recordProblems(r *register.Register) (out []*register.RowError) {
	for _, e := range r.Problems {
		if e.System != "" && (strings.HasSuffix(e.File, "/events.csv") || strings.HasSuffix(e.File, "/systems.csv")) {
			out = append(out, e)
		}
	}
	return out
}
