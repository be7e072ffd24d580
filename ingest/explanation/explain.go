package explanation

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/claim"
	"rimelog/ingest/dialect"
	"rimelog/ingest/limits"
	"rimelog/ingest/look"
	"rimelog/ingest/pass"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/ingest/read"
	"rimelog/ingest/understood"
	"rimelog/pipeline/register"
)

// An Explanation is how one file was understood, for people and for scripts.
type Explanation struct {
	Path    string   `json:"path"`
	Upload  string   `json:"upload"`  // SHA-256 of its bytes
	Systems []string `json:"systems"` // that claim it
	Claim   string   `json:"claim"`   // what to do where none does
	understood.File
	FirstRows []string `json:"first_rows"` // the first lines of data, as found
	FirstRead []string `json:"first_read"` // the first samples, as CSV: names, then values
}

// explained is how many lines of data an explanation shows.
const explained = 3

// Of reads one file as a run would and says how it was understood. Path is
// the one below uploads/, by which systems claim it; a file that none claims is
// read as if nobody had answered anything.
func Of(ctx context.Context, src raw.Source, path, upload string, reg *register.Register, o limits.Options) (Explanation, error) {
	src, err := raw.Unpack(src, o)
	if err != nil {
		return Explanation{}, err
	}
	facts, err := look.File(ctx, src, o)
	if err != nil {
		return Explanation{}, err
	}
	e := Explanation{Path: path, Upload: upload, Systems: claim.Systems(reg, path, facts)}
	if len(e.Systems) == 0 {
		e.Systems, e.Claim = []string{}, claim.Unclaimed(path, facts, claim.Nearest(reg, facts, nil))
	}
	r, err := read.File(ctx, src, upload, answers.For(reg, path, e.Systems), o)
	if err != nil {
		return Explanation{}, err
	}
	e.File = r.Understanding
	e.FirstRead = firstRead(r.Parts)
	e.FirstRows, err = firstRows(src, r.Understanding, o)
	return e, err
}

// firstRead prints the first samples of the first system that has any.
func firstRead(parts []pass.PartRows) []string {
	for _, p := range parts {
		if n := p.Samples.Rows(); n > 0 {
			p.Samples = p.Samples.Slice(0, min(n, explained))
			var b strings.Builder
			if err := read.WriteValues(&b, []pass.PartRows{p}); err != nil {
				return []string{} // a Builder takes everything
			}
			return strings.Split(strings.TrimSpace(b.String()), "\n")
		}
	}
	return []string{}
}

// firstRows shows the lines right below the header.
func firstRows(src raw.Source, u understood.File, o limits.Options) ([]string, error) {
	rows := []string{}
	if u.Delimiter == "" {
		return rows, nil
	}
	s, err := dialect.Take(src, o)
	if err != nil {
		return nil, err
	}
	p, err := plan.New(s, answers.Answers{}, plan.Amendments{}, o)
	if err != nil {
		return rows, nil //nolint:nilerr // read under the answers, unreadable without them: nothing to show
	}
	for _, i := range p.Layout.Body {
		if i >= p.Layout.First && i < s.Head && len(rows) < explained {
			rows = append(rows, raw.Show(s.Lines[i].Text))
		}
	}
	return rows, nil
}

// Print writes the explanation for people.
func (e Explanation) Print(w io.Writer) error {
	p := printer{w: w}
	p.line("%s", e.Path)
	if e.Claim != "" {
		p.line("  waits: %s", e.Claim)
	} else {
		p.line("  belongs to %s", strings.Join(e.Systems, ", "))
	}
	if e.Unreadable != "" {
		p.line("  cannot be read: %s; %s", e.Unreadable, e.Remedy)
		if e.Delimiter == "" {
			return p.err
		}
	}
	p.line("  %s, line ends %s, cells parted by %s, decimal mark %q", e.Encoding, e.LineEnds, e.Delimiter, e.DecimalMark)
	for _, v := range e.Evidence {
		p.line("    %s: %s", v.Decision, v.Evidence)
	}
	p.lines(e)
	if e.Unreadable == "" {
		p.time(e.Time)
	}
	p.columns(e.Columns)
	p.unnamed(e)
	p.open(e.File)
	return p.err
}

// A printer keeps the first error of its writes.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

func (p *printer) lines(e Explanation) {
	l := e.Lines
	p.line("")
	p.line("%d lines: %d data, %d header, %d preamble, %d footer, %d blank, %d not taken, %d waiting",
		l.All, l.Data, l.Header, l.Preamble, l.Footer, l.Blank, l.Quarantined, l.Waiting)
	v := e.Values
	p.line("%d values: %d stored, %d duplicates, %d refused, %d missing", v.Read, v.Stored, v.Duplicates, v.Refused, v.Missing)
	for i, r := range e.FirstRows {
		if i == 0 {
			p.line("the data begin:")
		}
		p.line("  %s", r)
	}
	for i, r := range e.FirstRead {
		if i == 0 {
			p.line("and are read as:")
		}
		p.line("  %s", r)
	}
}

func (p *printer) time(t understood.Time) {
	p.line("")
	p.line("time: %s, from %s", t.Kind, strings.Join(t.Columns, " and "))
	if t.Order != "" {
		p.line("  dates %s (%s)", t.Order, t.OrderReason)
	}
	p.line("  zone %s (%s)", cmp.Or(t.Zone, "not known"), cmp.Or(t.ZoneEvidence, "nothing says it"))
	if t.FirstUTC != "" {
		p.line("  %s to %s UTC, a sample every %g s", t.FirstUTC, t.LastUTC, t.StepS)
		for _, o := range t.Offsets {
			p.line("  from line %d on the clock is ahead of UTC by %s", o.Line, time.Duration(o.OffsetS)*time.Second)
		}
	}
}

func (p *printer) columns(columns []understood.Column) {
	p.line("")
	p.line("columns:")
	for _, c := range columns {
		meaning := c.Channel
		if c.Unit != "" {
			meaning += ", " + c.Unit
		}
		if c.Reference != "" {
			meaning += ", " + c.Reference
		}
		p.line("  %-28s %s", c.Name, meaning)
		if len(c.Evidence) > 0 {
			p.line("      %s", strings.Join(c.Evidence, "; "))
		}
		if c.Refused > 0 {
			p.line("      %d refused%s", c.Refused, prefixed(": ", c.Why))
		}
		for _, reason := range slices.Sorted(maps.Keys(c.Missing)) {
			p.line("      %d missing: %s", c.Missing[reason], reason)
		}
	}
}

// unnamed says how to use columns of which nobody knows what they are.
func (p *printer) unnamed(e Explanation) {
	extras := slices.DeleteFunc(slices.Clone(e.Columns), func(c understood.Column) bool { return c.Channel != "extra" })
	if len(extras) == 0 || len(e.Systems) == 0 {
		return
	}
	p.line("")
	p.line("kept, and used for nothing: %d of the columns", len(extras))
	p.line("  to use one, write its channel and unit in register/channels.csv: %s",
		register.ChannelLine(register.Channel{System: e.Systems[0], Column: extras[0].Name, Channel: "CHANNEL", Unit: "UNIT"}))
}

// shownCells is how many runs of cells without a value are printed for people.
const shownCells = 20

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

func linesText(q understood.LineProblem) string {
	if q.Line == q.Last {
		return fmt.Sprintf("line %d", q.Line)
	}
	return fmt.Sprintf("lines %d to %d", q.Line, q.Last)
}

func (p *printer) open(u understood.File) {
	for _, q := range u.Quarantined {
		p.line("")
		p.line("%s not taken: %s", linesText(q), q.Reason)
		p.line("  %s", q.Text)
	}
	for i, c := range u.Cells {
		if i == shownCells {
			p.line("")
			p.line("and %d more runs of cells; -json shows %d of them, the table refusals all", len(u.Cells)-i, understood.MostCells)
			break
		}
		p.line("")
		p.line("%s of %q: %d cells, %s", linesText(understood.LineProblem{Line: c.Line, Last: c.Last}), c.Column, c.Cells, c.Reason)
		p.line("  %s", c.Text)
	}
	for _, n := range u.Notes {
		p.line("")
		p.line("note: %s; %s", n.Note, n.Remedy)
	}
	for _, q := range u.OpenQuestions {
		p.line("")
		p.line("open: %s", q.Question)
		p.line("  to settle it, write in register/channels.csv: %s", q.RegisterLine)
	}
}
