package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
)

// A Pruned is what Prune removed, or would.
type Pruned struct {
	Staged      int   `json:"staged"`      // results that no newest generation waits for
	Parts       int   `json:"parts"`       // parts that no kept generation rests on
	Generations int   `json:"generations"` // older than those kept
	Bytes       int64 `json:"bytes"`       // of all of them
}

// fewestKept is how many generations of a unit always stay: a publication that was
// cut off is finished by comparing the newest with the one before.
const fewestKept = 2

// Prune removes what nothing needs any more: staged results that wait for no commit,
// parts that none of the last keep generations of any system rests on, and older
// generations that no kept one names and that are not the last to name an upload. keep
// below 2 counts as 2. With dry it only counts. Tables, facts and the entries that say how
// uploads were read stay as they are; a part that is asked for later is read again from
// its upload.
//
// Call it under the lock, with no shard at work: a writer's staged results look like
// leftovers.
func (d *Dataset) Prune(ctx context.Context, keep int, dry bool) (Pruned, error) {
	if err := d.Recover(ctx); err != nil {
		return Pruned{}, err
	}
	p := pruner{d: d, keep: max(keep, fewestKept), dry: dry, needed: map[string]bool{}, named: map[string]bool{}}
	units, err := d.Units(ctx) // the fleet and the report come first: they name generations of systems
	if err != nil {
		return Pruned{}, err
	}
	var old []string
	for _, unit := range units {
		names, err := p.unit(ctx, unit)
		if err != nil {
			return Pruned{}, err
		}
		old = append(old, names...)
	}
	// Generations go last: a prune that is cut off is then simply run again.
	err = errors.Join(p.folder(ctx, staged, &p.pruned.Staged), p.folder(ctx, parts, &p.pruned.Parts))
	if err == nil {
		err = p.generations(ctx, old)
	}
	return p.pruned, err
}

// A pruner knows what is needed and removes the rest.
type pruner struct {
	d      *Dataset
	keep   int
	dry    bool
	needed map[string]bool // names of staged results and parts
	named  map[string]bool // names of generations that kept ones rest on
	pruned Pruned
}

// unit notes what the kept generations of a unit need, and returns the names of the
// others.
func (p *pruner) unit(ctx context.Context, unit string) (old []string, err error) {
	infos, err := p.d.st.List(ctx, ledger+"/"+unit)
	if err != nil {
		return nil, fmt.Errorf("generations of %s: %w", unit, err)
	}
	told := map[string]bool{} // uploads that a newer generation accounts for
	for at := len(infos) - 1; at >= 0; at-- {
		g, err := p.read(ctx, unit, infos[at].Name)
		if err != nil {
			return nil, err
		}
		last := tells(g, told)
		switch {
		case at >= len(infos)-p.keep || p.named[infos[at].Name]:
			err = p.need(ctx, g, at == len(infos)-1)
		case !last:
			old = append(old, infos[at].Name)
		}
		if err != nil {
			return nil, err
		}
	}
	return old, nil
}

func (p *pruner) read(ctx context.Context, unit, name string) (Generation, error) {
	n, err := numberOf(name)
	if err != nil {
		return Generation{}, err
	}
	return p.d.generation(ctx, unit, n)
}

// tells notes the uploads of a generation, and whether one of them is in none newer: of
// an upload that was replaced, the ledger must go on saying where its lines went.
func tells(g Generation, told map[string]bool) (last bool) {
	for _, part := range g.Parts {
		last = last || !told[part.Upload]
		told[part.Upload] = true
	}
	return last
}

func (p *pruner) need(ctx context.Context, g Generation, newest bool) error {
	for _, f := range g.Files {
		if newest {
			p.needed[stagedName(f.Fingerprint, f.Path)] = true
		}
	}
	for unit, value := range g.Inputs {
		if n, err := strconv.Atoi(value); err == nil && (isSystem(unit) || unit == FleetUnit) {
			p.named[generationName(unit, n)] = true
		}
	}
	for _, part := range g.Parts {
		e, ok, err := p.d.Entry(ctx, part.Upload, part.Reading)
		if err != nil {
			return err
		}
		if !ok {
			return Corrupt{entryName(part.Upload, part.Reading), "is missing", "run verify -repair, then run again, before anything is removed"}
		}
		for _, f := range e.Parts {
			p.needed[f.Name] = true
		}
	}
	return nil
}

// folder removes what lies in a folder and is not needed.
func (p *pruner) folder(ctx context.Context, folder string, count *int) error {
	infos, err := p.d.st.List(ctx, folder)
	if err != nil {
		return fmt.Errorf("list %s: %w", folder, err)
	}
	for _, i := range infos {
		if p.needed[i.Name] {
			continue
		}
		if err := p.remove(ctx, i.Name, i.Size); err != nil {
			return err
		}
		*count++
	}
	return nil
}

func (p *pruner) generations(ctx context.Context, names []string) error {
	for _, name := range names {
		info, err := p.d.st.Stat(ctx, name)
		if err != nil {
			return err
		}
		if err := p.remove(ctx, name, info.Size); err != nil {
			return err
		}
		p.pruned.Generations++
	}
	return nil
}

func (p *pruner) remove(ctx context.Context, name string, size int64) error {
	p.pruned.Bytes += size
	if p.dry {
		return nil
	}
	if !strings.HasPrefix(name, root+"/") {
		return fmt.Errorf("prune: %s is not the dataset's", name)
	}
	if err := p.d.st.Remove(ctx, name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("prune: %w", err)
	}
	return nil
}
