package array

import (
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"rimelog/pipeline/store"
)

func uploads(sizes ...int64) (list []Upload) {
	for i, size := range sizes {
		list = append(list, Upload{ID: fmt.Sprintf("%064x", i), Path: fmt.Sprintf("S/%d.csv", i), Size: size})
	}
	return list
}

func loads(weights map[string]int64, split Split, shards int) []int64 {
	sums := make([]int64, shards)
	for unit, weight := range weights {
		sums[split.Of(unit, shards)] += weight
	}
	return sums
}

// The heaviest first, each to the least laden: no shard has more than 4/3 - 1/(3m) of what
// the best possible sharing gives its fullest one (R. L. Graham, Bounds on multiprocessing
// timing anomalies, SIAM J. Appl. Math. 17 (1969) 416, theorem 2), and the best is at least
// the mean, the heaviest, and the two of which some shard has both.
func TestShardsAreBalanced(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := range 200 {
		m := 1 + rng.IntN(9)
		weights := map[string]int64{}
		var total, heaviest int64
		for i := range 1 + rng.IntN(60) {
			weight := 1 + rng.Int64N(1<<(10+rng.IntN(14)))
			weights[fmt.Sprintf("U-%02d", i)] = weight
			total, heaviest = total+weight, max(heaviest, weight)
		}
		atLeast := max(float64(total)/float64(m), float64(heaviest), pair(weights, m))
		bound := (4.0/3 - 1/(3*float64(m))) * atLeast
		if got := slices.Max(loads(weights, balance(weights, m), m)); float64(got) > bound {
			t.Errorf("trial %d: %d shards, fullest %d, bound %.0f", trial, m, got, bound)
		}
	}
}

// pair is what the two have, of the m+1 heaviest, that must share one of m shards at least.
func pair(weights map[string]int64, m int) float64 {
	if len(weights) <= m {
		return 0
	}
	s := slices.Sorted(maps.Values(weights))
	slices.Reverse(s)
	return float64(s[m-1] + s[m])
}

// The plan of the same uploads is the same, in whatever order they were listed.
func TestTheOrderOfTheListDoesNotCount(t *testing.T) {
	list := uploads(7, 7, 7, 100, 3, 50_000, 50_000)
	for i := range list {
		list[i].Systems = []string{fmt.Sprintf("S-%d", i%3)}
	}
	want := Plan{Shards: 3, Uploads: slices.Clone(list)}
	want.share()
	slices.Reverse(list)
	got := Plan{Shards: 3, Uploads: list}
	got.share()
	slices.Reverse(list)
	if !slices.EqualFunc(got.Uploads, want.Uploads, func(a, b Upload) bool { return a.ID == b.ID && a.Shard == b.Shard }) ||
		!maps.Equal(got.Systems, want.Systems) || !maps.Equal(got.Pages, want.Pages) {
		t.Errorf("%v, in another order %v", want, got)
	}
}

func TestFilesOfTheSameBytesStayTogether(t *testing.T) {
	p := Plan{Shards: 4, Uploads: uploads(10, 10, 10, 10)}
	p.Uploads[3].ID = p.Uploads[0].ID
	p.share()
	if p.Uploads[3].Shard != p.Uploads[0].Shard || p.Uploads[1].Shard == p.Uploads[2].Shard {
		t.Errorf("shards %v", p.Uploads)
	}
}

// Systems are shared out by what their uploads weigh: the one with half of the fleet's bytes
// has a shard for itself, which is what bounds the speed of a run.
func TestAHeavySystemHasAShardForItself(t *testing.T) {
	p := Plan{Shards: 2}
	for i, u := range uploads(1<<20, 1<<20, 1<<18, 1<<18, 1<<18, 1<<18, 1<<18, 1<<18) {
		u.Systems = []string{[]string{"Big", "Big", "A", "B", "C", "D", "E", "F"}[i]}
		p.Uploads = append(p.Uploads, u)
	}
	p.share()
	for _, small := range []string{"A", "B", "C", "D", "E", "F"} {
		if p.Systems[small] == p.Systems["Big"] {
			t.Errorf("%s is with Big", small)
		}
	}
	if _, ok := p.Pages[Fleet]; !ok || len(p.Pages) != 8 {
		t.Errorf("pages %v", p.Pages)
	}
}

// Whatever the plan knew, a system has one shard; those it did not know go by the hash of
// their IDs, about as many to each: within six standard deviations of a binomial count.
func TestEverySystemHasOneShard(t *testing.T) {
	p := Plan{Shards: 8, Uploads: uploads(5, 6, 7)}
	for i := range p.Uploads {
		p.Uploads[i].Systems = []string{fmt.Sprintf("SYS-%d", i)}
	}
	p.share()
	counts := make([]int, p.Shards)
	for i := range 100_000 {
		id, owners := fmt.Sprintf("SYS-%d", i), 0
		for k := range counts {
			if p.Analyses(Shard{k, p.Shards})(id) {
				owners++
				counts[k]++
			}
		}
		if owners != 1 {
			t.Fatalf("%s has %d owners", id, owners)
		}
	}
	if slices.Max(counts) > 12_500+6*105 || slices.Min(counts) < 12_500-6*105 {
		t.Errorf("%v", counts)
	}
}

func FuzzParseShard(f *testing.F) {
	for _, text := range []string{"0/1", "3/4", "4/4", "-1/2", "1", "/", "a/b", "0/0", "1/99999999999999999999"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseShard(text)
		var plan *PlanError
		if err != nil {
			if !errors.As(err, &plan) {
				t.Fatalf("%q: %v is no PlanError", text, err)
			}
			return
		}
		if again, err := ParseShard(s.String()); err != nil || again != s || s.Index < 0 || s.Index >= s.Count {
			t.Fatalf("%q gives %v, again %v, %v", text, s, again, err)
		}
	})
}

func folderStore(t *testing.T) store.Store {
	t.Helper()
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// Of several planners of one run one freezes the list, and all go by it.
func TestOnePlanWins(t *testing.T) {
	st, basis := folderStore(t), map[string]string{"register": "r"}
	var mu sync.Mutex
	seen := map[string]bool{}
	var wg sync.WaitGroup
	for k := range 8 {
		wg.Go(func() {
			p, err := Freeze(t.Context(), st, "night", 3, basis, uploads(int64(k), 5, 6))
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Error(err)
			}
			seen[string(p.text())] = true
		})
	}
	wg.Wait()
	if len(seen) != 1 {
		t.Errorf("%d lists for one run", len(seen))
	}
	p, err := Open(t.Context(), st, "", basis)
	if err != nil || !seen[string(p.text())] || p.Frozen.IsZero() {
		t.Errorf("%v, %v", p, err)
	}
	if _, err := Open(t.Context(), st, "", maps.Clone(map[string]string{"register": "r", "options": "o"})); err == nil {
		t.Error("a worker with options that the plan did not have was let in")
	}
}

func TestAPlanWithoutANameIsNamedByWhatItSays(t *testing.T) {
	st := folderStore(t)
	var runs []string
	for _, list := range [][]Upload{uploads(1, 2), uploads(1, 2), uploads(1, 2, 3)} {
		p, err := Freeze(t.Context(), st, "", 2, nil, list)
		if err != nil {
			t.Fatal(err)
		}
		runs = append(runs, p.Run)
	}
	if runs[0] != runs[1] || runs[1] == runs[2] {
		t.Errorf("runs %v", runs)
	}
	if p, err := Open(t.Context(), st, "", nil); err != nil || p.Run != runs[2] {
		t.Errorf("the newest is %s, %v", p.Run, err)
	}
}

// Half of the weight done in ten minutes: ten minutes are left. What was done before the
// plan says nothing about the pace.
func TestTimeLeft(t *testing.T) {
	began := time.Date(2026, 1, 1, 2, 0, 0, 0, time.UTC)
	now := began.Add(10 * time.Minute)
	units := []Unit{
		{Shard: 0, Weight: 99, State: Done, At: began.Add(9 * time.Minute)},
		{Shard: 1, Weight: 99, State: Missing},
		{Shard: 1, Weight: 999, State: Done, At: began.Add(-time.Hour)},
		{Shard: 1, State: Rejected},
	}
	s := Count("ingest", 2, units, began, now)
	if want := 10 * time.Minute; s.Left != want || s.Ended != began.Add(9*time.Minute) {
		t.Errorf("left %v, want %v; ended %v", s.Left, want, s.Ended)
	}
	if got := s.Sum(); got != (Row{Shard: -1, Done: 2, Missing: 1, Rejected: 1}) {
		t.Errorf("sum %+v", got)
	}
	if s := Count("analyse", 1, []Unit{{}}, began, now); s.Left >= 0 {
		t.Errorf("a stage that did nothing yet takes %v", s.Left)
	}
}

// A voucher counts under the basis that it was given under, of whichever shard, and one that
// cannot be read counts for nothing.
func TestVouchers(t *testing.T) {
	st, ctx := folderStore(t), t.Context()
	p := Plan{Run: "night", Shards: 3, Basis: map[string]string{"register": "r"}}
	for i, done := range []Generations{{"systems/A": 2}, {"systems/B": 5}} {
		if err := p.Vouch(ctx, st, Shard{i, 3}, done); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Put(ctx, vouchers+"night/00002.json", store.Bytes([]byte("{"))); err != nil {
		t.Fatal(err)
	}
	got, err := p.Vouched(ctx, st)
	if want := (Generations{"systems/A": 2, "systems/B": 5}); err != nil || !maps.Equal(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	p.Basis["register"] = "another"
	if got, err := p.Vouched(ctx, st); err != nil || len(got) > 0 {
		t.Errorf("%v, %v of another basis", got, err)
	}
}

// Excerpts count for the generation and the basis that they were taken under; what is damaged
// is not there, nor what stands behind it.
func TestExcerpts(t *testing.T) {
	st, ctx := folderStore(t), t.Context()
	p := Plan{Run: "night", Shards: 2, Basis: map[string]string{"register": "r"}, Systems: Split{"A": 0, "B": 0, "C": 1, "D": 0}}
	left := map[string]string{"A": "of a", "B": "", "D": "of d"}
	err := p.Excerpt(ctx, st, Shard{0, 2}, func(put func(string, int, []byte) error) error {
		return errors.Join(put("A", 1, []byte(left["A"])), put("B", 2, nil), put("D", 3, []byte(left["D"])))
	})
	if err != nil {
		t.Fatal(err)
	}
	said := func(p Plan, systems ...string) (got string) {
		e := p.Excerpts(st)
		for i, id := range systems {
			if id == "" {
				continue
			}
			if body, ok := e.Of(ctx, id, i+1); ok {
				got += id + "(" + string(body) + ")"
			}
		}
		if err := e.Close(); err != nil {
			t.Error(err)
		}
		return got
	}
	if got := said(p, "A", "B", "D"); got != "A(of a)B()D(of d)" {
		t.Error(got)
	}
	if got := said(p, "A", "C", "D"); got != "A(of a)D(of d)" {
		t.Errorf("%s, of a shard that left nothing", got)
	}
	if got := said(p, "B", "D"); got != "" {
		t.Errorf("%s of other generations", got)
	}
	other := p
	other.Basis = map[string]string{"register": "another"}
	if got := said(other, "A", "B", "D"); got != "" {
		t.Errorf("%s of another basis", got)
	}
	damagedly(t, st, p.excerptOf(Shard{0, 2}), func(i int) {
		if got := said(p, "A", "B", "D"); !strings.HasPrefix("A(of a)B()D(of d)", got) || len(got) == len("A(of a)B()D(of d)") {
			t.Errorf("%s, damaged at byte %d", got, i)
		}
	})
}

// damagedly asks something of every way in which one byte of an object is wrong, or all from it on are lost.
func damagedly(t *testing.T, st store.Store, name string, ask func(at int)) {
	t.Helper()
	whole, err := store.ReadAll(t.Context(), st, name)
	if err != nil {
		t.Fatal(err)
	}
	for i := range whole {
		damaged := slices.Clone(whole)
		damaged[i] ^= 0x40
		for _, text := range [][]byte{damaged, whole[:i]} {
			if err := st.Put(t.Context(), name, store.Bytes(text)); err != nil {
				t.Fatal(err)
			}
			ask(i)
		}
	}
}

// What shards of ingest left counts under the basis that it was left under, of each shard for
// itself, and not where it is damaged.
func TestLeft(t *testing.T) {
	st, ctx := folderStore(t), t.Context()
	p := Plan{Run: "night", Shards: 3, Basis: map[string]string{"register": "r"}}
	for i, body := range []string{"of shard 0", "of shard 1"} {
		if err := p.Leave(ctx, st, Shard{i, 3}, []byte(body)); err != nil {
			t.Fatal(err)
		}
	}
	left := func(p Plan) (said []string) {
		for _, body := range p.Left(ctx, st) {
			said = append(said, string(body))
		}
		return said
	}
	if got, want := left(p), []string{"of shard 0", "of shard 1"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := left(Plan{Run: "night", Shards: 3, Basis: map[string]string{"register": "another"}}); len(got) > 0 {
		t.Errorf("%q of another basis", got)
	}
	damagedly(t, st, p.leftOf(Shard{0, 3}), func(i int) {
		if got := left(p); !slices.Equal(got, []string{"of shard 1"}) {
			t.Fatalf("%q, damaged at byte %d", got, i)
		}
	})
}
