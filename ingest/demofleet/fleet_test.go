package demofleet

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
)

// small is a fleet that is quick to make.
func small(seed uint64) Options {
	return Options{Seed: seed, Systems: 8, Years: 1, Permanent: 1, PermanentDays: 3}
}

// made holds a fleet's files by name.
type made struct {
	truth truth.Fleet
	files map[string][]byte
}

func generate(t *testing.T, o Options) made {
	t.Helper()
	m := made{files: map[string][]byte{}}
	var err error
	m.truth, err = Generate(t.Context(), o, func(name string, write func(io.Writer) error) error {
		if m.files[name] != nil {
			t.Errorf("%s is written twice", name)
		}
		var b bytes.Buffer
		err := write(&b)
		m.files[name] = b.Bytes()
		return err
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func (m made) sum() [32]byte {
	h := sha256.New()
	names := []string{}
	for name := range m.files {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		h.Write([]byte(name))
		h.Write(m.files[name])
	}
	return [32]byte(h.Sum(nil))
}

func TestSameSeedSameBytes(t *testing.T) {
	a, b, c := generate(t, small(3)), generate(t, small(3)), generate(t, small(4))
	if a.sum() != b.sum() {
		t.Error("two fleets of one seed differ")
	}
	if a.sum() == c.sum() {
		t.Error("fleets of two seeds are the same")
	}
}

// golden is the hash of a small fleet's files, by version of the simulator and
// processor: sines and fused products differ in their last digit between them.
var golden = map[string]string{
	"31 amd64": "5ba645b703f338bf", // as 30: no machine of these fleets heats with dirty coils
}

// When the bytes of a fleet change, Version must be raised, so that a folder made
// before is not taken for the new fleet.
func TestChangedBytesNeedANewVersion(t *testing.T) {
	key := fmt.Sprintf("%d %s", Version, runtime.GOARCH)
	want, known := golden[key]
	rough := small(1)
	mix := DefaultMix()
	rough.Mix = &mix
	h := sha256.New()
	for _, o := range []Options{small(1), rough} {
		one := generate(t, o).sum()
		h.Write(one[:])
	}
	sum := h.Sum(nil)
	if got := hex.EncodeToString(sum[:8]); known && got != want {
		t.Errorf("version %d gave %s, now %s: raise Version and write the new hash into golden", Version, want, got)
	} else if !known && runtime.GOARCH == "amd64" {
		t.Errorf("no hash for version %d: write %q into golden", Version, got)
	}
}

// A system is the same whatever the size of the fleet: its numbers depend on the
// seed and its place only.
func TestWeatherDoesNotDependOnTheFleet(t *testing.T) {
	o := small(5)
	a, err := newFleet(o.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	o.Systems = 12
	b, err := newFleet(o.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	at := o.withDefaults().Start.AddDate(0, 3, 9)
	if x, y := a.machines[0].weather.outdoor(at), b.machines[0].weather.outdoor(at); x != y {
		t.Errorf("outdoors %.3f in a fleet of 8, %.3f in one of 12", x, y)
	}
}

func TestRegisterLoads(t *testing.T) {
	m := generate(t, Options{Seed: 1, Systems: 33, Years: 0.5, Logging: ByVisits})
	dir := fstest.MapFS{}
	for name, content := range m.files {
		if strings.HasPrefix(name, "register/") {
			dir[path.Base(name)] = &fstest.MapFile{Data: content}
		}
	}
	reg, err := register.Load(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range reg.Problems {
		if p.Value != unheardOf {
			t.Errorf("the register has a problem nobody put there: %v", p)
		}
	}
	if len(reg.Problems) != 1 {
		t.Errorf("%d problems, want one: the refrigerant %s", len(reg.Problems), unheardOf)
	}
	for _, s := range m.truth.Systems {
		if _, ok := reg.System(s.ID); !ok {
			t.Errorf("%s is not in the register", s.ID)
		}
		if err := register.CheckID(s.ID); err != nil {
			t.Error(err)
		}
	}
}

// Every log belongs to its system by its folder, and its columns are named in
// the register as they stand in the file.
func TestChannelRowsNameTheColumns(t *testing.T) {
	m := generate(t, small(2))
	f, err := newFleet(small(2).withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, machine := range f.machines {
		for _, v := range f.visits[machine] {
			name := machine.path(v)
			content := string(m.files["uploads/"+name])
			for _, row := range f.channelRows(machine) {
				if ok, _ := path.Match(strings.Replace(row.File, "/**", "", 1), name); ok && slices.ContainsFunc(v.channels, func(q quantity) bool {
					return machine.channel(q) == row.Channel && q.index() == row.Index
				}) && !strings.Contains(content, row.Column) {
					t.Errorf("%s has no column %q", name, row.Column)
				}
			}
		}
	}
}

// About one system in six leaks, and more than half have no trouble at all.
func TestTroublesOfALargeFleet(t *testing.T) {
	f, err := newFleet(Options{Systems: 200, Years: 2, Logging: ByVisits}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	leaks, sound := 0, 0
	for _, m := range f.machines {
		if len(m.truth.Episodes) == 0 {
			sound++
		}
		if slices.ContainsFunc(m.truth.Episodes, func(e truth.Episode) bool { return e.Fault == truth.Leak && e.PerYear > 0 }) {
			leaks++
		}
	}
	if leaks != 36 || sound < 100 {
		t.Errorf("of 200 systems %d leak and %d have no trouble, want 36 and at least 100", leaks, sound)
	}
}

func TestLeakLosesChargeUntilRepaired(t *testing.T) {
	f, err := newFleet(Options{Seed: 7}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	repaired := 0
	for _, m := range f.machines {
		for _, e := range m.truth.Episodes {
			if e.Fault != truth.Leak || e.Ended.IsZero() || e.PerYear == 0 {
				continue
			}
			repaired++
			before := m.truth.Charge(e.Ended.Add(-time.Second))
			if before > 0.95*m.truth.RatedCharge || m.truth.Charge(e.Ended) != m.truth.RatedCharge {
				t.Errorf("%s: %.3f kg before the repair, %.3f after, rated %.3f", m.truth.ID, before, m.truth.Charge(e.Ended), m.truth.RatedCharge)
			}
		}
	}
	if repaired == 0 {
		t.Error("no leak was repaired in the whole fleet")
	}
}

// Another refrigerant filled in: the charge that is right changes with it, the
// register names the new one, and the machine runs on it.
func TestRetrofitChangesFluidAndCharge(t *testing.T) {
	mix := DemoMix()
	mix.Changes.Retrofit = 1
	mix.Faults = Faults{}
	f, err := newFleet(Options{Seed: 3, Systems: 40, Years: 2, Logging: ByVisits, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, m := range f.machines {
		k := m.truth.Retrofit
		if k == nil {
			continue
		}
		seen++
		before := k.From.Add(-time.Minute)
		if m.fluid(before).Name != m.truth.Refrigerant || m.fluid(k.From).Name != k.Refrigerant || m.row.RefrigerantName != k.Refrigerant {
			t.Errorf("%s: %s, then %s, register %s", m.truth.ID, m.fluid(before).Name, m.fluid(k.From).Name, m.row.RefrigerantName)
		}
		if m.truth.Charge(before) != m.truth.RatedCharge || m.truth.Charge(k.From) != k.RatedCharge {
			t.Errorf("%s: %.3f kg, then %.3f", m.truth.ID, m.truth.Charge(before), m.truth.Charge(k.From))
		}
		after := visit{start: k.From.Add(24 * time.Hour), length: 30 * time.Minute, kit: f.kits[0]}
		if tr, err := newTrace(m, after, chance(1, "after")); err != nil || tr.tripped {
			t.Errorf("%s does not run on %s: %v", m.truth.ID, k.Refrigerant, err)
		}
	}
	if seen == 0 {
		t.Error("no system got another refrigerant")
	}
}

// Where loggers stay on every system, people come only when called: for repairs.
func TestPermanentFleetIsVisitedForRepairsOnly(t *testing.T) {
	f, err := newFleet(Options{Seed: 4, Systems: 30, Years: 2, Logging: Permanent}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	repairs := 0
	for _, m := range f.machines {
		for _, v := range f.visits[m] {
			if !v.cycling && v.work.IsZero() {
				t.Errorf("%s: visited on %s, and nothing was done", m.truth.ID, v.start.Format(time.DateOnly))
			} else if !v.cycling {
				repairs++
			}
		}
	}
	if repairs == 0 {
		t.Error("nothing was ever repaired")
	}
}

// Weather: the mean of the years and the swing of the seasons come out.
func TestWeatherHasSeasons(t *testing.T) {
	start := time.Date(2023, 4, 3, 0, 0, 0, 0, time.UTC)
	for _, c := range climates {
		w, err := newWeather(c, DefaultMix().Weather.Persistence, start, 3*365, chance(1, c.name))
		if err != nil {
			t.Fatal(err)
		}
		var sum, july, january float64
		for d := range 3 * 365 {
			x := w.outdoor(start.AddDate(0, 0, d).Add(9 * time.Hour))
			sum += x / (3 * 365)
			switch start.AddDate(0, 0, d).Month() {
			case time.July:
				july += x / 93
			case time.January:
				january += x / 93
			}
		}
		if math.Abs(sum-c.mean) > 1.5 || math.Abs((july-january)-2*c.season) > 4 {
			t.Errorf("%s: mean %.1f, July %.1f, January %.1f; want mean %.1f, seasons %.1f apart", c.name, sum, july, january, c.mean, 2*c.season)
		}
	}
}

func TestNumbersAsLoggersPrintThem(t *testing.T) {
	point, comma := &dialect{}, &dialect{comma: true}
	for _, v := range []float64{0, -0.04, 0.05, 1.005, -12.3456, 99.95, 1234.5678, -0.5} {
		for digits := range 4 {
			want := strconv.FormatFloat(math.RoundToEven(v*math.Pow10(digits))/math.Pow10(digits), 'f', digits, 64)
			if want == "-0" || strings.Trim(want, "-0.") == "" {
				want = strings.TrimPrefix(want, "-")
			}
			if got := string(point.number(nil, v, digits)); got != want {
				t.Errorf("%v with %d digits: %s, want %s", v, digits, got, want)
			}
			if got := string(comma.number(nil, v, digits)); got != strings.Replace(want, ".", ",", 1) {
				t.Errorf("%v with %d digits and decimal comma: %s", v, digits, got)
			}
		}
	}
}

func TestWriteKeepsToItsFolder(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "demo")
	if _, err := Write(t.Context(), dir, small(3)); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(root)
	if err != nil || len(entries) != 1 {
		t.Fatalf("beside the workspace: %v, %v", entries, err)
	}
	one := filepath.Join(dir, "register", "systems.csv")
	if err := os.WriteFile(one, []byte("edited"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(t.Context(), dir, small(3)); err != nil {
		t.Errorf("the same fleet again: %v", err)
	}
	if b, err := os.ReadFile(one); string(b) != "edited" {
		t.Errorf("a file of a complete fleet was written again: %q, %v", b, err)
	}
	var refused *FolderError
	if _, err := Write(t.Context(), dir, small(4)); !errors.As(err, &refused) || !strings.Contains(err.Error(), "seed 3") {
		t.Errorf("another seed in the same folder: %v", err)
	}
	old := fmt.Sprintf(`{"fleet": %q, "version": 1}`, markerText)
	if err := os.WriteFile(filepath.Join(dir, MarkerFile), []byte(old), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(t.Context(), dir, small(3)); !errors.As(err, &refused) || !strings.Contains(err.Error(), "version 1") {
		t.Errorf("a fleet of an older version in the same folder: %v", err)
	}
}

func TestWriteRefusesWhatIsNotItsOwn(t *testing.T) {
	for name, content := range map[string]string{"letter.txt": "dear", MarkerFile: "{}"} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
		var refused *FolderError
		if _, err := Write(t.Context(), dir, small(1)); !errors.As(err, &refused) {
			t.Errorf("folder with %s: error %v, want a FolderError", name, err)
		}
		if b, _ := os.ReadFile(filepath.Join(dir, name)); string(b) != content {
			t.Errorf("%s was changed to %q", name, b)
		}
	}
}

// A call that was stopped leaves a folder that the next call finishes, with the
// same bytes.
func TestWriteFinishesWhatWasStopped(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	stopped, stop := context.WithCancel(t.Context())
	o := small(6).withDefaults()
	if err := takeEmpty(dir, o); err != nil {
		t.Fatal(err)
	}
	n := 0
	_, err := Generate(stopped, o, func(name string, write func(io.Writer) error) error {
		if n++; n == 9 {
			stop()
		}
		return save(dir, name, write)
	}, nil)
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("stopped: error %v", err)
	}
	if _, err := Write(t.Context(), dir, small(6)); err != nil {
		t.Fatal(err)
	}
	for name, want := range generate(t, small(6)).files {
		got, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s differs, %v", name, err)
		}
	}
}

func TestOptionsAreCheckedByName(t *testing.T) {
	err := Options{Systems: -1, Years: math.NaN(), Logging: "never", Interval: time.Millisecond}.Validate()
	for _, want := range []string{"systems -1", "years NaN", "logging \"never\"", "interval 1ms"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v does not say %q", err, want)
		}
	}
	if err := (Options{}).Validate(); err != nil {
		t.Errorf("the zero options: %v", err)
	}
}
