package report

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"rimelog/analysis/digest"
	"rimelog/analysis/say"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// What changed is told by the rules of package digest, which mails go by too: each
// generation of the report keeps in the ledger what its pages told.

// fleetInput is the input of a report's generation that names the fleet's.
const fleetInput = "fleet"

// A Past is what the pages told when they were drawn from an earlier generation of the
// fleet.
type Past struct {
	N    int // of the fleet's generation; 0 where there is none to compare with
	Told digest.Told
}

// A SinceError says that no report was drawn from the generation that was asked for.
type SinceError struct {
	N     int
	Drawn []int // the generations that there are reports of
}

func (e *SinceError) Error() string {
	if len(e.Drawn) == 0 {
		return fmt.Sprintf("-since %d: no earlier report is in the ledger to compare with; leave it out", e.N)
	}
	var there []string
	for _, n := range e.Drawn {
		there = append(there, strconv.Itoa(n))
	}
	return fmt.Sprintf("-since %d: no report was drawn from that generation of the fleet; there are those of %s", e.N, strings.Join(there, ", "))
}

// past finds what is compared with: the report drawn last from another generation of the
// fleet than the newest, or from the one that was asked for.
func (s *Stage) past(ctx context.Context) (p Past, err error) {
	var drawn []int
	for g := s.before; g.N > 0; {
		n, err := strconv.Atoi(g.Inputs[fleetInput])
		if err == nil && n != s.fleet.N && len(g.Told) > 0 {
			if s.Since == 0 || s.Since == n {
				p.N = n
				return p, json.Unmarshal(g.Told, &p.Told)
			}
			if !slices.Contains(drawn, n) {
				drawn = append(drawn, n)
			}
		}
		if g.N == 1 {
			break
		}
		if g, err = s.data.Generation(ctx, dataset.ReportUnit, g.N-1); errors.Is(err, fs.ErrNotExist) {
			break // pruned
		} else if err != nil {
			return Past{}, err
		}
	}
	if s.Since != 0 {
		return Past{}, &SinceError{s.Since, drawn}
	}
	return Past{}, nil
}

// told is what this report tells, for the ledger.
func (s *Stage) told(ctx context.Context) (json.RawMessage, error) {
	f, err := s.tells(ctx)
	if err != nil {
		return nil, err
	}
	return json.Marshal(f.Told())
}

// tells reads what is told of the newest generation.
func (s *Stage) tells(ctx context.Context) (f digest.Fleet, err error) {
	var errs [3]error
	f.Findings, errs[0] = fleetRows[table.Finding](ctx, s, table.Findings())
	f.Uploads, errs[1] = s.uploads()
	f.Checks, errs[2] = fleetRows[table.LeakCheck](ctx, s, table.LeakChecks())
	f.AsOf = s.asOf(Fleet{})
	return f, errors.Join(errs[:]...)
}

// changesView is what changed since the report before.
type changesView struct {
	Lede  string
	Items []newsRow
	Rest  []newsRow // beyond those that stand in the open
}

// A newsRow is one thing that changed.
type newsRow struct{ Change, Who, Href, What string }

// mostChanges is how many changes stand in the open.
const mostChanges = 12

// changes compares the fleet with what was told before; nil where there is nothing to
// compare with.
func (f Fleet) changes() *changesView {
	if f.Past.N == 0 {
		return nil
	}
	d, _ := digest.Fleet{AsOf: f.AsOf, Findings: f.Findings, Uploads: f.Uploads, Checks: f.Records.LeakChecks}.Since("", f.Past.Told)
	v := &changesView{Lede: f.say.Text("Since the report of %s (generation %s of the fleet): %s.", f.say.Dated(f.Past.Told.AsOf), fmt.Sprint(f.Past.N), d.Tally(f.say))}
	names := f.names()
	byID := map[string]table.Finding{}
	for _, x := range f.Findings {
		byID[x.ID] = x
	}
	for _, i := range d.Items {
		row := newsRow{Change: capital(f.say.Prose(string(i.Change))), What: f.changed(i, byID)}
		if w := nameOf(names, i.System); w.Href != "" {
			row.Who, row.Href = w.Title, w.Href
		} else {
			row.Who = i.System
		}
		if len(v.Items) < mostChanges {
			v.Items = append(v.Items, row)
		} else {
			v.Rest = append(v.Rest, row)
		}
	}
	return v
}

// changed puts an item into words, as the pages write a finding.
func (f Fleet) changed(i digest.Item, byID map[string]table.Finding) string {
	if x, ok := byID[i.ID]; ok {
		switch i.Change {
		case digest.Closed, digest.Answered:
			return capital(f.say.Prose(x.Kind)) + ": " + f.say.Prose(x.State) + "."
		}
		return suspicion(f.say, x) + ". " + moved(f.say, x) + "."
	}
	return say.Stop(f.say.Sentence(f.say.Dated(strings.Trim(i.What+": "+i.Detail, ": "))))
}
