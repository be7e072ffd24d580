package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// A Verdict is what Verify found.
type Verdict struct {
	Problems []Corrupt `json:"problems"`
	Units    int       `json:"units"`
	Files    int       `json:"files"`   // live files
	Parts    int       `json:"parts"`   // files of parts that they rest on
	Uploads  int       `json:"uploads"` // uploads that are accounted for
	Rows     int64     `json:"rows"`    // of live files
	Bytes    int64     `json:"bytes"`   // of live files
	Lines    Lines     `json:"lines"`   // sum over the uploads
	Values   Values    `json:"values"`  // sum over the uploads
}

// OK tells whether nothing was wrong.
func (v Verdict) OK() bool { return len(v.Problems) == 0 }

// Verify checks the dataset against its ledger:
//
//  1. every live file of every newest generation is there, with its SHA-256,
//     its fingerprint, its rows and its table's columns;
//  2. rows lie in the month of their path, in order of time, samples with each
//     time once;
//  3. the parts and entries behind them are there, and both accounting laws hold
//     for every upload;
//  4. no other file lies where a reader of a table would find it.
//
// What it finds is in the Verdict; an error means that it could not look. With
// repair it first finishes publications, and sets damaged and unlisted files
// aside below run/damaged, so that the next run makes again what is missing.
func (d *Dataset) Verify(ctx context.Context, repair bool) (Verdict, error) {
	if repair {
		var corrupt Corrupt // which the check finds again, and names
		if err := d.repair(ctx); err != nil && !errors.As(err, &corrupt) {
			return Verdict{}, err
		}
	}
	c := checker{d: d, repair: repair, live: map[string]bool{}, seen: map[string]bool{}}
	units, err := d.Units(ctx)
	if err != nil {
		return Verdict{}, err
	}
	for _, unit := range units {
		if err := c.unit(ctx, unit); err != nil {
			return c.verdict, err
		}
	}
	return c.verdict, errors.Join(c.accounts(ctx), c.unlisted(ctx))
}

func (d *Dataset) repair(ctx context.Context) error {
	if err := errors.Join(d.DropBasis(ctx), d.Recover(ctx)); err != nil {
		return err
	}
	// A publication may have been cut off with nothing left to move.
	return d.publishAll(ctx, nil, every)
}

// A checker walks the newest generations and collects what is wrong.
type checker struct {
	d       *Dataset
	repair  bool
	verdict Verdict
	live    map[string]bool // names of live files
	seen    map[string]bool // entries checked already: an upload may belong to several systems
	entries []Entry
	uploads string // path of the published uploads table, if there is one
	blind   bool   // a generation cannot be read: nobody knows what is listed
}

func (c *checker) problem(file, problem, remedy string) {
	c.verdict.Problems = append(c.verdict.Problems, Corrupt{file, problem, remedy})
}

// note turns a Corrupt and a missing file into problems; other errors are about
// the machine and stop the check.
func (c *checker) note(name string, err error, remedy string) error {
	var corrupt Corrupt
	switch {
	case errors.As(err, &corrupt):
		c.verdict.Problems = append(c.verdict.Problems, corrupt)
		return nil
	case errors.Is(err, fs.ErrNotExist):
		c.problem(name, "is missing", remedy)
		return nil
	}
	return err
}

func (c *checker) unit(ctx context.Context, unit string) error {
	g, err := c.d.Newest(ctx, unit)
	if err != nil {
		c.blind = true
		return c.note(ledger+"/"+unit, err, "restore it from a backup")
	}
	c.verdict.Units++
	for _, f := range g.Files {
		c.live[f.Name()] = true
		if err := c.file(ctx, f); err != nil {
			return err
		}
	}
	for _, p := range g.Parts {
		if err := c.part(ctx, p); err != nil {
			return err
		}
	}
	return nil
}

const again = "run again: it is made again"

// readAgain says how what an upload said comes back.
func (c *checker) readAgain(path string) string {
	if c.repair {
		return "run again: " + path + " is read again"
	}
	return "run verify -repair, then run again: " + path + " is read again"
}

// file checks one live file, and sets it aside where it is damaged.
func (c *checker) file(ctx context.Context, f File) error {
	c.verdict.Files++
	c.verdict.Rows += f.Rows
	c.verdict.Bytes += f.Bytes
	problem, err := c.d.fault(ctx, f)
	if err != nil {
		return c.note(f.Name(), err, again)
	}
	if problem != "" {
		return c.damaged(ctx, f.Name(), problem)
	}
	if f.Table == table.Uploads().Name {
		c.uploads = f.Path
	}
	return nil
}

// damaged reports a file that can be made again.
func (c *checker) damaged(ctx context.Context, name, problem string) error {
	if !c.repair {
		c.problem(name, problem, "run verify -repair, which sets it aside, then run again: it is made again")
		return nil
	}
	if err := c.d.st.Move(ctx, name, aside+"/"+name); err != nil {
		return fmt.Errorf("set %s aside: %w", name, err)
	}
	c.problem(name, problem, "it was set aside below "+aside+"; "+again)
	return nil
}

// fault says what is wrong with a live file, or nothing.
func (d *Dataset) fault(ctx context.Context, f File) (string, error) {
	sum, size, err := d.sum(ctx, f.Name())
	switch {
	case err != nil:
		return "", err
	case size != f.Bytes:
		return fmt.Sprintf("has %d bytes; the ledger says %d", size, f.Bytes), nil
	case sum != f.SHA256:
		return "has other bytes than the ledger says", nil
	case f.Table == "":
		return "", nil
	}
	return d.tableFault(ctx, f)
}

func (d *Dataset) tableFault(ctx context.Context, f File) (problem string, err error) {
	pf, foot, closer, err := d.open(ctx, f.Name())
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, closer.Close()) }()
	t, err := tableOf(pf, foot)
	switch {
	case err != nil:
		return err.Error(), nil
	case foot.table != f.Table || !strings.HasPrefix(f.Path, f.Table+"/"):
		return "is of table " + foot.table, nil
	case foot.fingerprint != string(f.Fingerprint):
		return "was made from something else than the ledger says", nil
	case pf.NumRows() != f.Rows:
		return fmt.Sprintf("has %d rows; the ledger says %d", pf.NumRows(), f.Rows), nil
	case t.Partition != table.BySystemMonth:
		return "", nil
	}
	rows, err := decode(pf, frame.Columns(t, t.Columns[0].Name))
	if err != nil {
		return "cannot be read: " + err.Error(), nil
	}
	return orderFault(t, rows, f.Path), nil
}

// orderFault looks at the first column of a table cut by months: its time.
func orderFault(t table.Table, rows *frame.Frame, path string) string {
	col := t.Columns[0].Name
	times := rows.Times(col)
	if !rows.Valid(col).All() {
		return "has rows without a time"
	}
	for i := range times {
		if i == 0 {
			continue
		}
		if times[i] < times[i-1] {
			return fmt.Sprintf("row %d is earlier than the row before it", i)
		}
		if times[i] == times[i-1] && t.Name == table.Samples().Name {
			return fmt.Sprintf("row %d has the time of the row before it", i)
		}
	}
	for _, m := range Months(times) {
		if !strings.Contains(path, "/month="+m.Name+"/") {
			return "has rows of month " + m.Name
		}
	}
	return ""
}

// part checks the entry of an upload and its files.
func (c *checker) part(ctx context.Context, p Part) error {
	name := entryName(p.Upload, p.Reading)
	if c.seen[name] {
		return nil
	}
	c.seen[name] = true
	e, ok, err := c.d.Entry(ctx, p.Upload, p.Reading)
	if err == nil && !ok {
		err = fs.ErrNotExist
	}
	if err != nil {
		return c.note(name, err, c.readAgain(p.Path))
	}
	if err := errors.Join(e.Lines.Check(), e.Values.Check()); err != nil {
		c.problem(name, "the account of "+p.Path+" does not add up: "+err.Error(), "report this as a bug, with the file")
	}
	c.entries = append(c.entries, e)
	for _, pf := range e.Parts {
		if err := c.partFile(ctx, pf, p.Path); err != nil {
			return err
		}
	}
	return nil
}

func (c *checker) partFile(ctx context.Context, p PartFile, upload string) error {
	c.verdict.Parts++
	sum, _, err := c.d.sum(ctx, p.Name)
	if err != nil {
		return c.note(p.Name, err, c.readAgain(upload))
	}
	if sum != p.SHA256 {
		return c.damaged(ctx, p.Name, "has other bytes than the ledger says")
	}
	return nil
}

// accounts sums the accounts: of the uploads table where it is published, since
// that has every upload and the duplicates between them; else of the entries.
func (c *checker) accounts(ctx context.Context) error {
	if c.uploads == "" {
		for _, e := range c.entries {
			c.account(e.Lines, e.Values)
		}
		return nil
	}
	f, err := c.d.ReadTable(ctx, c.uploads)
	if err != nil {
		return err
	}
	rows, err := frame.Rows[table.Upload](f)
	if err != nil {
		return err
	}
	for _, u := range rows {
		lines, values := Accounts(u)
		if err := errors.Join(lines.Check(), values.Check()); err != nil {
			c.problem(root+"/"+c.uploads, "the account of "+u.Path+" does not add up: "+err.Error(), "report this as a bug, with the file")
		}
		c.account(lines, values)
	}
	return nil
}

func (c *checker) account(l Lines, v Values) {
	c.verdict.Uploads++
	c.verdict.Lines = c.verdict.Lines.Add(l)
	c.verdict.Values = c.verdict.Values.Add(v)
}

// unlisted finds files that a reader of a table would see and no generation lists.
func (c *checker) unlisted(ctx context.Context) error {
	if c.blind {
		return nil
	}
	infos, err := c.d.st.List(ctx, root)
	if err != nil {
		return fmt.Errorf("list the dataset: %w", err)
	}
	for _, i := range infos {
		if !c.live[i.Name] && !internal(i.Name) {
			if err := c.stray(ctx, i); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *checker) stray(ctx context.Context, i store.Info) error {
	const problem = "is in no generation; readers of the table see its rows"
	if !c.repair {
		c.problem(i.Name, problem, "run verify -repair, which sets it aside")
		return nil
	}
	if err := c.d.st.Move(ctx, i.Name, aside+"/"+i.Name); err != nil {
		return fmt.Errorf("set %s aside: %w", i.Name, err)
	}
	c.problem(i.Name, problem, "it was set aside below "+aside)
	return nil
}

func internal(name string) bool {
	for _, folder := range []string{staged, parts, ledger} {
		if strings.HasPrefix(name, folder+"/") {
			return true
		}
	}
	return false
}
