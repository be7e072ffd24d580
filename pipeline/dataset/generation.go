package dataset

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	gojson "github.com/goccy/go-json"

	"rimelog/pipeline"
	"rimelog/pipeline/store"
)

// A File is one live file of a unit: a table's partition, or a page.
type File struct {
	Path        string               `json:"path"`        // below dataset/; a page's below report/
	Table       string               `json:"table"`       // the table's name; empty for a page
	Step        string               `json:"step"`        // the step that made it, with its version: "join/1"
	Fingerprint pipeline.Fingerprint `json:"fingerprint"` // what it was made from
	SHA256      string               `json:"sha256"`      // of its bytes, 64 hex digits
	Rows        int64                `json:"rows"`        // 0 for a page
	Bytes       int64                `json:"bytes"`
	Notes       map[string]string    `json:"notes,omitempty"` // more that the step says of it, also in its footer
	// Long are the names of notes that only the footer holds: the ledger is written anew
	// every night, and must not grow with what is told of closed months. See [Dataset.Note].
	Long []string `json:"long_notes,omitempty"`
}

// Name is the file's name in the workspace once it is published.
func (f File) Name() string {
	if f.Table == "" {
		return pages + "/" + f.Path
	}
	return root + "/" + f.Path
}

// A Part is what one upload says under one reading, as a generation uses it.
type Part struct {
	Upload  string `json:"upload"`
	Reading string `json:"reading"`
	Path    string `json:"path"` // below uploads/, where it was claimed from
}

// A Generation lists every live file of a unit ("systems/ID", "fleet",
// "report"). Committing one makes it the truth.
type Generation struct {
	Unit   string            `json:"unit"`
	N      int               `json:"n"`                // 1 is the first; 0 for none yet
	Inputs map[string]string `json:"inputs,omitempty"` // what else it rests on, by name: hashes, generations of other units
	Parts  []Part            `json:"parts,omitempty"`
	Files  []File            `json:"files"`          // by path
	Told   json.RawMessage   `json:"told,omitempty"` // of the report: what its pages told, to compare later ones with
}

// File returns the live file at a path.
func (g Generation) File(path string) (File, bool) {
	if i, there := fileAt(g.Files, path); there {
		return g.Files[i], true
	}
	return File{}, false
}

// fileAt is the place of a path among files, and whether one of them has it: every job asks,
// and years of months are many files.
func fileAt(files []File, path string) (int, bool) {
	return slices.BinarySearchFunc(files, path, func(f File, path string) int { return cmp.Compare(f.Path, path) })
}

// With returns the generation with these files in the place of those at the
// same paths, and all others carried over.
func (g Generation) With(files ...File) Generation {
	g = g.Sorted()
	g.Files = slices.Clone(g.Files)
	for _, f := range files {
		if i, there := fileAt(g.Files, f.Path); there {
			g.Files[i] = f
		} else {
			g.Files = slices.Insert(g.Files, i, f)
		}
	}
	return g
}

// Sorted returns the one form a content has in the ledger.
func (g Generation) Sorted() Generation {
	g.Files = sorted(g.Files, func(a, b File) int { return cmp.Compare(a.Path, b.Path) })
	g.Parts = sorted(g.Parts, func(a, b Part) int {
		return cmp.Or(cmp.Compare(a.Upload, b.Upload), cmp.Compare(a.Reading, b.Reading), cmp.Compare(a.Path, b.Path))
	})
	return g
}

// sorted is a list in order: itself where it is, as that of the generation before mostly is.
func sorted[E any](list []E, order func(a, b E) int) []E {
	if slices.IsSortedFunc(list, order) {
		return list
	}
	list = slices.Clone(list)
	slices.SortFunc(list, order)
	return list
}

// check refuses what must not get into the ledger: a programmer's mistake.
func (g Generation) check() error {
	if g.Unit != FleetUnit && g.Unit != ReportUnit && !isSystem(g.Unit) {
		return fmt.Errorf("commit: no unit is called %q", g.Unit)
	}
	for i, f := range g.Files {
		if i > 0 && f.Path == g.Files[i-1].Path {
			return fmt.Errorf("commit %s: two files at %s", g.Unit, f.Path)
		}
		if (f.Table == "") != (g.Unit == ReportUnit) {
			return fmt.Errorf("commit %s: %s does not belong to this unit", g.Unit, f.Path)
		}
	}
	return nil
}

func isSystem(unit string) bool {
	id, ok := strings.CutPrefix(unit, "systems/")
	return ok && id != "" && !strings.Contains(id, "/")
}

// Newest returns a unit's newest generation; one with N 0 where there is none. Its slices and
// maps are shared, and not to be changed: a generation never is, so it is decoded once.
func (d *Dataset) Newest(ctx context.Context, unit string) (Generation, error) {
	n, err := d.newest(ctx, unit)
	if err != nil || n == 0 {
		return Generation{Unit: unit}, err
	}
	g, err := d.decodedOf(ctx, unit, n)
	if err == nil {
		d.decoded.Store(unit, g)
	}
	return g, err
}

// decodedOf is generation n of a unit: as it was decoded or committed last, where that is it.
func (d *Dataset) decodedOf(ctx context.Context, unit string, n int) (Generation, error) {
	if known, ok := d.decoded.Load(unit); ok && known.(Generation).N == n {
		return known.(Generation), nil
	}
	return d.generation(ctx, unit, n)
}

// newest is the number of a unit's newest generation; 0 where there is none. One that is
// known is counted on from: a store asks more for a list than for a name.
func (d *Dataset) newest(ctx context.Context, unit string) (int, error) {
	if n, ok := d.numbers.Load(unit); ok {
		return d.countOn(ctx, unit, n.(int))
	}
	infos, err := d.st.List(ctx, ledger+"/"+unit)
	if err != nil {
		return 0, fmt.Errorf("newest generation of %s: %w", unit, err)
	}
	if len(infos) == 0 {
		return 0, nil
	}
	n, err := numberOf(infos[len(infos)-1].Name)
	if err == nil {
		d.numbers.Store(unit, n)
	}
	return n, err
}

// countOn looks for generations behind number n.
func (d *Dataset) countOn(ctx context.Context, unit string, n int) (int, error) {
	for {
		_, err := d.st.Stat(ctx, generationName(unit, n+1))
		if errors.Is(err, fs.ErrNotExist) {
			d.numbers.Store(unit, n)
			return n, nil
		}
		if err != nil {
			return 0, fmt.Errorf("newest generation of %s: %w", unit, err)
		}
		n++
	}
}

// CommittedAt is when a unit's newest generation was committed: by the store's clock, for
// people; zero where there is none.
func (d *Dataset) CommittedAt(ctx context.Context, unit string) (time.Time, error) {
	infos, err := d.st.List(ctx, ledger+"/"+unit)
	if err != nil || len(infos) == 0 {
		return time.Time{}, err
	}
	return infos[len(infos)-1].Modified, nil
}

func numberOf(name string) (int, error) {
	n, err := strconv.Atoi(strings.TrimSuffix(path.Base(name), ".json"))
	if err != nil || n < 1 {
		return 0, Corrupt{name, "is no generation", "remove it"}
	}
	return n, nil
}

// Generation returns generation n of a unit, for comparing two.
func (d *Dataset) Generation(ctx context.Context, unit string, n int) (Generation, error) {
	return d.generation(ctx, unit, n)
}

func (d *Dataset) generation(ctx context.Context, unit string, n int) (g Generation, err error) {
	name := generationName(unit, n)
	if err := d.getJSON(ctx, name, &g); err != nil {
		return Generation{}, err
	}
	if g.Unit != unit || g.N != n {
		return Generation{}, Corrupt{name, fmt.Sprintf("says it is generation %d of %s", g.N, g.Unit), "restore it from a backup"}
	}
	return g, nil
}

// Units lists the units that have generations, sorted.
func (d *Dataset) Units(ctx context.Context) ([]string, error) {
	names, err := d.generations(ctx)
	units := make([]string, 0, len(names))
	for _, name := range names {
		units = append(units, unitOf(name))
		if n, err := numberOf(name); err == nil {
			d.numbers.Store(unitOf(name), n)
		}
	}
	return slices.Compact(units), err
}

// Numbers gives the number of the newest generation of every unit that has any.
func (d *Dataset) Numbers(ctx context.Context) (map[string]int, error) {
	names, err := d.generations(ctx)
	if err != nil {
		return nil, err
	}
	numbers := map[string]int{}
	for _, name := range names {
		if numbers[unitOf(name)], err = numberOf(name); err != nil {
			return nil, err
		}
	}
	return numbers, nil
}

// generations lists the names of all generations, by unit and number.
func (d *Dataset) generations(ctx context.Context) (names []string, err error) {
	for _, folder := range []string{FleetUnit, ReportUnit, SystemUnit("")} {
		infos, err := d.st.List(ctx, path.Join(ledger, folder))
		if err != nil {
			return nil, fmt.Errorf("list generations: %w", err)
		}
		for _, i := range infos {
			names = append(names, i.Name)
		}
	}
	return names, nil
}

// unitOf is the unit of a generation's name.
func unitOf(name string) string { return strings.TrimPrefix(path.Dir(name), ledger+"/") }

// Commit makes g the unit's next generation; g.N is the one it builds on, as
// Newest gave it. Where g says what that one says already, nothing is written
// and it comes back as it is. When another run committed the same content, that
// is success; when it committed other content, the error is ErrOvertaken.
// Publish what Commit returns.
func (d *Dataset) Commit(ctx context.Context, g Generation) (Generation, error) {
	g = g.Sorted()
	if err := g.check(); err != nil {
		return Generation{}, err
	}
	if g.N > 0 {
		base, err := d.decodedOf(ctx, g.Unit, g.N)
		if err != nil || base.same(g) {
			return g, err
		}
	}
	g.N++
	return g, d.commit(ctx, g)
}

// same tells whether two generations say the same.
func (g Generation) same(other Generation) bool {
	return g.Unit == other.Unit && g.N == other.N && maps.Equal(g.Inputs, other.Inputs) && slices.Equal(g.Parts, other.Parts) &&
		slices.EqualFunc(g.Files, other.Files, File.same) && bytes.Equal(compact(g.Told), compact(other.Told))
}

// compact is JSON without the room that the ledger gives it.
func compact(text json.RawMessage) []byte {
	var b bytes.Buffer
	if json.Compact(&b, text) != nil {
		return text
	}
	return b.Bytes()
}

func (f File) same(other File) bool {
	return f.Path == other.Path && f.Table == other.Table && f.Step == other.Step && f.Fingerprint == other.Fingerprint && f.SHA256 == other.SHA256 &&
		f.Rows == other.Rows && f.Bytes == other.Bytes && maps.Equal(f.Notes, other.Notes) && slices.Equal(f.Long, other.Long)
}

func (d *Dataset) commit(ctx context.Context, g Generation) error {
	if err := d.Settle(ctx); err != nil {
		return fmt.Errorf("commit %s: %w", g.Unit, err)
	}
	name, content := generationName(g.Unit, g.N), dense(g)
	err := d.st.PutIfAbsent(ctx, name, store.Bytes(content))
	if err == nil || !errors.Is(err, store.ErrExists) {
		return err
	}
	there, err := store.ReadAll(ctx, d.st, name)
	if err != nil {
		return err
	}
	if !bytes.Equal(there, content) {
		return fmt.Errorf("commit %s: %w", g.Unit, ErrOvertaken)
	}
	return nil
}

// Done tells whether a job's result at a path is there: listed by the
// generation and published, or staged. It looks at names and sizes only; what
// lies within is Verify's business. It is meant for [pipeline.Job].Done.
func (d *Dataset) Done(ctx context.Context, g Generation, fp pipeline.Fingerprint, path string) (bool, error) {
	if there, err := d.published(ctx, g, fp, path); err != nil || there {
		return there, err
	}
	_, err := d.st.Stat(ctx, stagedName(fp, path))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

// Result returns what Done found: the File for a job's result at a path, to put
// into the next generation. It returns false where Done does.
func (d *Dataset) Result(ctx context.Context, g Generation, fp pipeline.Fingerprint, step pipeline.Step, path string) (File, bool, error) {
	there, err := d.published(ctx, g, fp, path)
	if err != nil {
		return File{}, false, err
	}
	if there {
		f, _ := g.File(path)
		return f, true, nil
	}
	return d.Staged(ctx, fp, step, path)
}

// published tells whether a generation lists a job's result and it is there.
func (d *Dataset) published(ctx context.Context, g Generation, fp pipeline.Fingerprint, path string) (bool, error) {
	f, ok := g.File(path)
	if !ok || f.Fingerprint != fp {
		return false, nil
	}
	info, err := d.st.Stat(ctx, f.Name())
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && info.Size == f.Bytes, err
}

// canonical is the one JSON text of a value: keys in fixed order, no clock, no
// host, a line end at the end.
func canonical(v any) []byte { return jsonOf(v, " ") }

// dense is the same without room between the lines: a generation lists every upload of
// years, and is written and read every night.
func dense(v any) []byte { return jsonOf(v, "") }

func jsonOf(v any, indent string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(v); err != nil {
		panic("dataset: " + err.Error()) // only types that cannot fail come here
	}
	return b.Bytes()
}

func (d *Dataset) getJSON(ctx context.Context, name string, v any) error {
	b, err := store.ReadAll(ctx, d.st, name)
	if err != nil {
		return err
	}
	if err := gojson.Unmarshal(b, v); err != nil {
		return Corrupt{name, "is not what was written: " + err.Error(), "restore it from a backup"}
	}
	return nil
}
