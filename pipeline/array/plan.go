package array

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"time"

	"rimelog/pipeline/store"
)

// Version is that of the plan object. A program refuses plans of another one.
const Version = 2

// Where plans lie in a workspace, and the name of the newest one.
const (
	folder  = "run/plans/"
	current = "run/plan.json"
)

// An Upload is one file of a plan.
type Upload struct {
	ID       string    `json:"upload"` // SHA-256 of its bytes, for an archive's member with its name
	Path     string    `json:"path"`
	Member   string    `json:"member,omitempty"`
	Size     int64     `json:"size"` // bytes
	Lines    int64     `json:"lines,omitempty"`
	Modified time.Time `json:"modified"`
	Shard    int       `json:"shard"`
	Systems  []string  `json:"-"` // that claim its place: what they weigh together is shared out
}

// A Plan is what all shards of a run go by.
type Plan struct {
	Version int    `json:"version"`
	Run     string `json:"run"`
	Shards  int    `json:"shards"`
	// Basis is what all shards must have in common, by name: step versions, hashes of
	// register and options.
	Basis   map[string]string `json:"basis"`
	Uploads []Upload          `json:"uploads"`
	// Systems are the shards of analyse by the systems' IDs, Pages those of report, by the
	// unit whose pages they are.
	Systems Split `json:"systems"`
	Pages   Split `json:"pages"`
	// Frozen is when the plan was made, by the store's clock: for estimates.
	Frozen time.Time `json:"-"`
}

// A PlanError says that a shard was started wrongly: trying again does not help.
type PlanError struct{ What string }

func (e *PlanError) Error() string { return e.What }

var runID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$`)

// Freeze puts a plan for these uploads into the store, unless the run has one: then that
// one counts, since shards may go by it already. An empty run is named by what is planned.
func Freeze(ctx context.Context, st store.Store, run string, shards int, basis map[string]string, uploads []Upload) (Plan, error) {
	p := Plan{Version: Version, Run: run, Shards: shards, Basis: basis, Uploads: slices.Clone(uploads)}
	if shards < 1 {
		return p, &PlanError{fmt.Sprintf("%d shards: want at least 1", shards)}
	}
	p.share()
	if run == "" {
		sum := sha256.Sum256(p.text())
		p.Run = hex.EncodeToString(sum[:6])
	}
	if !runID.MatchString(p.Run) {
		return p, &PlanError{fmt.Sprintf("run %q: want up to 64 letters, digits, dots, dashes and underscores", p.Run)}
	}
	err := st.PutIfAbsent(ctx, folder+p.Run+".json", store.Bytes(p.text()))
	if err != nil && !errors.Is(err, store.ErrExists) {
		return p, err
	}
	frozen, err := load(ctx, st, p.Run)
	if err != nil {
		return p, err
	}
	if frozen.Shards != shards {
		return p, &PlanError{fmt.Sprintf("run %s is planned for %d shards already; give another -run to plan it for %d", p.Run, frozen.Shards, shards)}
	}
	if err := frozen.check(basis); err != nil {
		return p, err
	}
	return frozen, st.Put(ctx, current, store.Bytes(mustJSON(map[string]string{"run": p.Run})))
}

// share gives every upload, system and page a shard.
func (p *Plan) share() {
	of := balance(read(p.Uploads), p.Shards)
	for i, u := range p.Uploads {
		p.Uploads[i].Shard = of[u.ID]
	}
	systems := analysed(p.Uploads)
	p.Systems, p.Pages = balance(systems, p.Shards), balance(drawn(systems), p.Shards)
}

func (p Plan) text() []byte { return mustJSON(p) }

func mustJSON(v any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		panic("array: " + err.Error()) // only types that cannot fail come here
	}
	return b.Bytes()
}

// Open reads the plan of a run, or the newest one where run is empty, and checks it against
// what this worker goes by.
func Open(ctx context.Context, st store.Store, run string, basis map[string]string) (Plan, error) {
	newest, err := newest(ctx, st)
	if err != nil {
		return Plan{}, err
	}
	asked := run
	if run == "" {
		run = newest
	}
	if !runID.MatchString(run) {
		return Plan{}, &PlanError{fmt.Sprintf("run %q: want up to 64 letters, digits, dots, dashes and underscores", run)}
	}
	p, err := load(ctx, st, run)
	if errors.Is(err, fs.ErrNotExist) {
		return p, &PlanError{missing(asked, newest)}
	}
	if err != nil {
		return p, err
	}
	return p, p.check(basis)
}

func missing(asked, newest string) string {
	if asked == "" || newest == "" {
		return "there is no plan; `rimelog plan -shards N` makes one"
	}
	return fmt.Sprintf("there is no plan of run %s; the newest one is of run %s", asked, newest)
}

// newest is the run that was planned last; a run that cannot be where nothing was.
func newest(ctx context.Context, st store.Store) (run string, err error) {
	b, err := store.ReadAll(ctx, st, current)
	if errors.Is(err, fs.ErrNotExist) {
		return "", &PlanError{missing("", "")}
	}
	if err != nil {
		return "", err
	}
	var at struct{ Run string }
	if err := json.Unmarshal(b, &at); err != nil {
		return "", &PlanError{current + " is damaged; plan again"}
	}
	return at.Run, nil
}

func load(ctx context.Context, st store.Store, run string) (p Plan, err error) {
	name := folder + run + ".json"
	b, err := store.ReadAll(ctx, st, name)
	if err != nil {
		return p, err
	}
	if err := json.Unmarshal(b, &p); err != nil {
		return p, &PlanError{name + " is damaged: " + err.Error() + "; remove it and plan again"}
	}
	if p.Version != Version {
		return p, &PlanError{fmt.Sprintf("%s is of version %d, this program reads version %d: use one release for the plan and all shards", name, p.Version, Version)}
	}
	if p.Run != run {
		return p, &PlanError{fmt.Sprintf("%s is of run %s", name, p.Run)}
	}
	info, err := st.Stat(ctx, name)
	p.Frozen = info.Modified
	return p, err
}

// check compares what the plan was made with to what a worker goes by.
func (p Plan) check(basis map[string]string) error {
	names := slices.Sorted(maps.Keys(p.Basis))
	for name := range basis {
		if _, ok := p.Basis[name]; !ok {
			names = append(names, name)
		}
	}
	for _, name := range names {
		if p.Basis[name] != basis[name] {
			return &PlanError{fmt.Sprintf("the plan of run %s was made with other %s (%s, now %s): plan again, as another run", p.Run, name, short(p.Basis[name]), short(basis[name]))}
		}
	}
	return nil
}

func short(s string) string {
	if s == "" {
		return "none"
	}
	return s[:min(len(s), 12)]
}

// Shard checks that a shard is one of the plan.
func (p Plan) Shard(text string) (Shard, error) {
	s, err := ParseShard(text)
	if err == nil && s.Count != p.Shards {
		return s, &PlanError{fmt.Sprintf("shard %s: run %s is planned for %d shards", text, p.Run, p.Shards)}
	}
	return s, err
}

// Reads gives the test whether an upload is a shard's to read.
func (p Plan) Reads(s Shard) func(upload string) bool {
	own := map[string]bool{}
	for _, u := range p.Uploads {
		if u.Shard == s.Index {
			own[u.ID] = true
		}
	}
	return func(upload string) bool { return own[upload] }
}

// Analyses gives the test whether a system is a shard's to join and to analyse.
func (p Plan) Analyses(s Shard) func(system string) bool {
	return func(system string) bool { return p.Systems.Of(system, p.Shards) == s.Index }
}

// Draws gives the test whether the pages of a system, or of the [Fleet], are a shard's.
func (p Plan) Draws(s Shard) func(unit string) bool {
	return func(unit string) bool { return p.Pages.Of(unit, p.Shards) == s.Index }
}

// Fleet is the unit of the pages of all systems together.
const Fleet = "fleet"
