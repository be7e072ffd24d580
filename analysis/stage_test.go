package analysis

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// oneByOne runs jobs in order.
type oneByOne struct{}

func (oneByOne) Run(ctx context.Context, jobs []pipeline.Job, did func(pipeline.Job, time.Duration, error)) error {
	for _, j := range jobs {
		err := j.Do(ctx)
		did(j, 0, err)
		if err != nil {
			return err
		}
	}
	return nil
}

// A visit of an invented cold room: an hour, a sample a minute.
type visit struct {
	at         time.Time
	subcooling float64
	outdoor    float64
}

// samples makes a month's file of the visits in it.
func samples(t testing.TB, visits []visit, rng *rand.Rand) *frame.Frame {
	t.Helper()
	r134a, err := thermo.Lookup("R134a")
	if err != nil {
		t.Fatal(err)
	}
	pressure := func(celsius float64) int32 {
		p, err := r134a.DewP(thermo.FromCelsius(celsius))
		if err != nil {
			t.Fatal(err)
		}
		return int32(math.Round(float64(p)))
	}
	milli := func(v float64) int32 { return int32(math.Round(v * 1000)) }
	b := frame.NewBuilder(table.Samples(), 0)
	for _, v := range visits {
		for i := range 60 {
			noise := func(sd float64) float64 { return sd * rng.NormFloat64() }
			condensing := v.outdoor + 12 + noise(0.05)
			b.Column("time").Int64(v.at.Add(time.Duration(i) * time.Minute).UnixMicro())
			b.Column("suction_pressure_kpa").Int32(pressure(-8 + noise(0.05)))
			b.Column("discharge_pressure_kpa").Int32(pressure(condensing))
			b.Column("suction_temp_c").Int32(milli(-1 + noise(0.2)))
			b.Column("discharge_temp_c").Int32(milli(condensing + 30 + noise(0.2)))
			b.Column("liquid_temp_c").Int32(milli(condensing - v.subcooling + noise(0.1)))
			b.Column("outdoor_temp_c").Int32(milli(v.outdoor))
			b.Column("room_temp_c").Int32(milli(2 + noise(0.1)))
			b.Column("power_kw").Int32(milli(2 + noise(0.01)))
		}
	}
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// leaking is a cold room that is visited every month and loses 2.5 K of subcooling
// a year from its second year on.
func leaking(months int) []visit {
	rng := rand.New(rand.NewPCG(7, 7))
	start := time.Date(2022, 1, 10, 9, 0, 0, 0, time.UTC)
	var out []visit
	for m := range months {
		at := start.AddDate(0, m, rng.IntN(5))
		years := at.Sub(start).Hours() / 24 / 365
		out = append(out, visit{
			at: at, outdoor: 12 - 10*math.Cos(2*math.Pi*years),
			subcooling: 6 - 2.5*math.Max(0, years-1) + 0.4*rng.NormFloat64(),
		})
	}
	return out
}

const systemsCSV = `system,site,refrigerant,expansion,receiver
room-1,Old Mill,R134a,thermostatic,none
`

// A bench is a workspace in a folder of its own.
type bench struct {
	data     *dataset.Dataset
	register *register.Register
	options  Options
	rules    records.Rules
}

func newBench(t testing.TB, files map[string]string) *bench {
	t.Helper()
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	b := &bench{data: dataset.New(dir)}
	b.load(t, files)
	return b
}

func (b *bench) load(t testing.TB, files map[string]string) {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var err error
	if b.register, err = register.Load(t.Context(), fsys); err != nil {
		t.Fatal(err)
	}
}

// put commits visits as samples of a system, as join does.
func (b *bench) put(t testing.TB, id string, visits []visit) {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 2))
	months := map[string][]visit{}
	for _, v := range visits {
		m := dataset.MonthOf(v.at.UnixMicro()).Name
		months[m] = append(months[m], v)
	}
	g, err := b.data.Newest(t.Context(), dataset.SystemUnit(id))
	if err != nil {
		t.Fatal(err)
	}
	step := pipeline.Step{Name: "join", Version: 1}
	for _, m := range slices.Sorted(maps.Keys(months)) {
		h := pipeline.NewHasher(step)
		h.Add("month", fmt.Sprint(id, m, len(months[m])))
		f, err := b.data.StageFrame(t.Context(), h.Sum(), step, table.Samples().Path(id, m), samples(t, months[m], rng), nil)
		if err != nil {
			t.Fatal(err)
		}
		g = g.With(f)
	}
	if g, err = b.data.Commit(t.Context(), g); err != nil {
		t.Fatal(err)
	}
	if err := b.data.Publish(t.Context(), g); err != nil {
		t.Fatal(err)
	}
}

func (b *bench) run(t testing.TB, asOf time.Time) pipeline.Tally {
	t.Helper()
	s := NewStage(b.data, b.register, b.options, asOf, nil)
	s.Rules = b.rules
	tally, err := pipeline.Run(t.Context(), s.Rounds(), oneByOne{}, pipeline.Hooks{})
	if err != nil {
		t.Fatal(err)
	}
	return tally
}

func rowsOf[Row any](t testing.TB, b *bench, path string) []Row {
	t.Helper()
	f, err := b.data.ReadTable(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := frame.Rows[Row](f)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func TestFromSamplesToFinding(t *testing.T) {
	b := newBench(t, map[string]string{"systems.csv": systemsCSV})
	b.put(t, "room-1", leaking(30))
	tally := b.run(t, time.Time{})
	want := map[string]int{"windows": 30, "visits": 1, "meter": 30, "energy": 1, "judge": 1, "rank": 1, "records": 1}
	if !maps.Equal(tally.Done, want) {
		t.Errorf("jobs done: %v, want %v", tally.Done, want)
	}
	visits := rowsOf[table.Visit](t, b, table.Visits().Path("room-1", ""))
	if len(visits) != 30 {
		t.Fatalf("%d visits, want 30", len(visits))
	}
	v := visits[0]
	if v.Use != table.UseTrend || math.Abs(v.Superheat-7) > 0.2 || math.Abs(v.CondenserTD-12) > 0.1 || math.Abs(v.EvaporatorTD-10) > 0.1 {
		t.Errorf("first visit: %+v; want superheat 7, condenser difference 12, evaporator difference 10 K, for trends", v)
	}
	findings := rowsOf[table.Finding](t, b, table.Findings().Path("", ""))
	if len(findings) != 1 || findings[0].Kind != drift.ChargeLoss || findings[0].Rank != 1 || findings[0].Site != "Old Mill" {
		t.Fatalf("got %+v, want one finding of lost charge", findings)
	}
	f := findings[0]
	if f.RaisedOn.Before(visits[12].Start) || f.RaisedOn.After(visits[23].Start) {
		t.Errorf("raised on %v, want in the second year", f.RaisedOn)
	}
	if strings.Contains(f.NextCheck, "leaking") || !strings.Contains(f.NextCheck, "direct leak check recommended") {
		t.Errorf("next check: %q", f.NextCheck)
	}
	if !strings.Contains(f.LimitedBy, "subcooler") || strings.Contains(f.LimitedBy, "receiver is not") {
		t.Errorf("limited by %q: want the subcooler, which the register does not tell, and not the receiver, which it does", f.LimitedBy)
	}
}

func TestRerunDoesNothing(t *testing.T) {
	b := newBench(t, map[string]string{"systems.csv": systemsCSV})
	b.put(t, "room-1", leaking(5))
	b.run(t, time.Time{})
	before, err := b.data.Newest(t.Context(), dataset.FleetUnit)
	if err != nil {
		t.Fatal(err)
	}
	if tally := b.run(t, time.Time{}); len(tally.Done) > 0 {
		t.Errorf("a second run does %v", tally.Done)
	}
	after, err := b.data.Newest(t.Context(), dataset.FleetUnit)
	if err != nil || after.N != before.N {
		t.Errorf("a second run commits generation %d after %d, %v", after.N, before.N, err)
	}
}

// Only what a change touches is made again.
func TestWhatIsMadeAgain(t *testing.T) {
	b := newBench(t, map[string]string{"systems.csv": systemsCSV})
	b.put(t, "room-1", leaking(5))
	b.run(t, time.Time{})
	for _, step := range []struct {
		name   string
		change func()
		want   map[string]int
	}{
		{"another visit, months later", func() { b.put(t, "room-1", leaking(8)[7:]) }, map[string]int{"windows": 1, "visits": 1, "meter": 1, "energy": 1, "judge": 1, "rank": 1, "records": 1}},
		{"a system's name for people", func() {
			b.load(t, map[string]string{"systems.csv": strings.Replace(systemsCSV, "Old Mill", "New Mill", 1)})
		}, map[string]int{"rank": 1, "records": 1}},
		{"an option of the trends", func() { b.options.Drift.MinVisits = 5 }, map[string]int{"judge": 1, "rank": 1, "records": 1}},
		{"an option of the windows", func() { b.options.Steady.Window = Duration(10 * time.Minute) }, map[string]int{"windows": 6, "visits": 1, "meter": 6, "energy": 1, "judge": 1, "rank": 1, "records": 1}},
	} {
		step.change()
		if tally := b.run(t, time.Time{}); !maps.Equal(tally.Done, step.want) {
			t.Errorf("%s: jobs done %v, want %v", step.name, tally.Done, step.want)
		}
	}
	if tally := b.run(t, time.Date(2030, 1, 1, 0, 0, 0, 0, time.UTC)); !maps.Equal(tally.Done, map[string]int{"rank": 1, "records": 1}) {
		t.Errorf("another day: jobs done %v, want the ranking and the records only", tally.Done)
	}
}

// The findings as of a day are those that a run on that day would have given.
func TestAsOfIsCausal(t *testing.T) {
	whole := newBench(t, map[string]string{"systems.csv": systemsCSV})
	whole.put(t, "room-1", leaking(30))
	for _, n := range []int{12, 22, 26} {
		until := leaking(30)[n-1].at
		whole.run(t, until)
		part := newBench(t, map[string]string{"systems.csv": systemsCSV})
		part.put(t, "room-1", leaking(30)[:n])
		part.run(t, time.Time{})
		path := table.Findings().Path("", "")
		a, b := rowsOf[table.Finding](t, whole, path), rowsOf[table.Finding](t, part, path)
		if len(a) != len(b) || len(a) > 0 && (a[0].ID != b[0].ID || a[0].Evidence != b[0].Evidence || !a[0].RaisedOn.Equal(b[0].RaisedOn)) {
			t.Errorf("as of visit %d: %+v\nfrom the visits up to it: %+v", n, a, b)
		}
	}
}

func TestWhatIsNotKnownIsListed(t *testing.T) {
	b := newBench(t, map[string]string{
		"systems.csv": systemsCSV + "room-2,Old Mill,,,\nroom-3,Old Mill,R134a,,\n",
		"events.csv":  "system,date,event\nroom-3,2022-02-10,charge added\nroom-3,notaday,repaired\n",
	})
	for _, id := range []string{"room-2", "room-4"} {
		b.put(t, id, leaking(1))
	}
	day := leaking(1)[0]
	day.at = time.Date(2022, 2, 10, 9, 0, 0, 0, time.UTC)
	b.put(t, "room-3", []visit{day})
	b.run(t, time.Time{})
	problems := rowsOf[table.Problem](t, b, table.Quality().Path("", ""))
	for _, want := range []struct{ system, text, weight string }{
		{"room-2", "refrigerant", "left out"}, {"room-4", "not in the register", "left out"},
		{"room-3", "without a time", "doubt"}, {"room-3", "notaday", "left out"},
	} {
		found := slices.ContainsFunc(problems, func(p table.Problem) bool {
			return p.System == want.system && strings.Contains(p.Problem, want.text) && p.Weight == want.weight && p.Remedy != ""
		})
		if !found {
			t.Errorf("no problem of %s with %q (%s) in %+v", want.system, want.text, want.weight, problems)
		}
	}
	visits := rowsOf[table.Visit](t, b, table.Visits().Path("room-2", ""))
	if len(visits) != 1 || !math.IsNaN(visits[0].Superheat) || math.IsNaN(visits[0].SuctionTemp) {
		t.Errorf("without a refrigerant: %+v; want measured values and no superheat", visits)
	}
}

// What each step makes, down to the last bit. A hash that changes means that the
// step's bytes changed: raise its version, and write the new hash here. (How rows
// become bytes is the dataset's own test.)
func TestGoldenRows(t *testing.T) {
	b := newBench(t, map[string]string{"systems.csv": systemsCSV})
	b.put(t, "room-1", leaking(30))
	b.run(t, time.Time{})
	got := map[string]string{
		stepText(StepWindows): hashOf(rowsOf[table.Window](t, b, table.Windows().Path("room-1", "2023-03"))) + hashOf(
			rowsOf[table.Phase](t, b, table.Running().Path("room-1", "2023-03"))),
		stepText(StepVisits): hashOf(rowsOf[table.Visit](t, b, table.Visits().Path("room-1", ""))),
		stepText(StepJudge):  hashOf(rowsOf[table.Trend](t, b, table.Trends().Path("room-1", ""))) + hashOf(rowsOf[table.Cause](t, b, table.Causes().Path("room-1", ""))),
		stepText(StepMeter):  hashOf(rowsOf[table.EnergyWindow](t, b, table.EnergyWindows().Path("room-1", "2023-03"))),
		stepText(StepEnergy): hashOf(rowsOf[table.EnergyDay](t, b, table.EnergyDays().Path("room-1", ""))),
		stepText(StepRank): hashOf(rowsOf[table.Finding](t, b, table.Findings().Path("", ""))) + hashOf(
			rowsOf[table.UploadVerdict](t, b, table.UploadVerdicts().Path("", ""))) + hashOf(rowsOf[table.LogQuality](t, b, table.LogQualities().Path("", ""))),
		stepText(StepRecords): recordsHash(t),
		stepText(StepCompare): compareHash(t),
	}
	if !maps.Equal(got, goldenRows) {
		t.Errorf("got %#v, want %#v", got, goldenRows)
	}
}

// compareHash is the hash of the comparison of two systems of one kind, of which one
// has less subcooling.
func compareHash(t *testing.T) string {
	t.Helper()
	row := ",Old Mill,R134a,thermostatic,none,compressor,cold room\n"
	b := newBench(t, map[string]string{"systems.csv": "system,site,refrigerant,expansion,receiver,power_covers,kind\nroom-1" + row + "room-2" + row})
	b.put(t, "room-1", leaking(14))
	warmer := leaking(14)
	for i := range warmer {
		warmer[i].subcooling -= 2
	}
	b.put(t, "room-2", warmer)
	b.run(t, time.Time{})
	rows := rowsOf[table.Ranking](t, b, table.Rankings().Path("", ""))
	if len(rows) != 2 || rows[0].Percent == rows[1].Percent {
		t.Fatalf("%+v: want both systems, with the difference between them", rows)
	}
	return hashOf(rows)
}

func stepText(s pipeline.Step) string { return fmt.Sprintf("%s/%d", s.Name, s.Version) }

// hashOf is the first 16 digits of a hash of all fields of all rows, floats by
// their bits.
func hashOf[Row any](rows []Row) string {
	h := sha256.New()
	for _, r := range rows {
		v := reflect.ValueOf(r)
		for i := range v.NumField() {
			switch x := v.Field(i).Interface().(type) {
			case float64:
				fmt.Fprintf(h, "%x\n", math.Float64bits(x))
			case time.Time:
				fmt.Fprintf(h, "%d\n", x.UnixMicro())
			default:
				fmt.Fprintf(h, "%v\n", x)
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil))[:16]
}

func TestLostResultIsAnError(t *testing.T) {
	b := newBench(t, map[string]string{"systems.csv": systemsCSV})
	b.put(t, "room-1", leaking(2))
	s := NewStage(b.data, b.register, Options{}, time.Time{}, nil)
	s.Account = func(context.Context) ([]table.Upload, []table.Problem, error) { return nil, nil, errDisk }
	if _, err := pipeline.Run(t.Context(), s.Rounds(), oneByOne{}, pipeline.Hooks{}); !errors.Is(err, errDisk) {
		t.Errorf("got %v, want the error of the account", err)
	}
	rounds := NewStage(b.data, b.register, Options{Drift: DriftOptions{MinVisits: 7}}, time.Time{}, nil).Rounds()
	judge := slices.IndexFunc(rounds, func(r pipeline.Round) bool { return r.Name == "judge" })
	for _, r := range rounds[:judge+1] {
		if _, err := r.Plan(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if err := rounds[judge].Commit(t.Context()); err == nil || !strings.Contains(err.Error(), "run again") {
		t.Errorf("commit without results: got %v, want an error that says what to do", err)
	}
}

var errDisk = errors.New("disk")

func TestOptionsInTheFile(t *testing.T) {
	if err := (Options{}).Validate(); err != nil {
		t.Errorf("the defaults are refused: %v", err)
	}
	err := Options{Steady: SteadyOptions{Periods: 1}, Drift: DriftOptions{Confidence: 2}}.Validate()
	for _, want := range []string{"steady.periods", "drift.confidence"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want it to name %s", err, want)
		}
	}
}
