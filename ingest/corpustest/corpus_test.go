package corpustest

import (
	"bytes"
	"context"
	"math"
	"reflect"
	"strings"
	"testing"
)

// leastRight is the share of the settled files that is read right at least. Like
// the limits on silently misread files it only ever gets better; what must be reached
// is 0.98, and none misread.
const leastRight = 0.995

// TestCorpus reads a slice of the corpus: the same files every time.
func TestCorpus(t *testing.T) {
	checkCorpus(t, 1, 500, 0)
}

func checkCorpus(t *testing.T, seed uint64, n, mostWrong int) {
	tally, err := Run(context.Background(), seed, n)
	if err != nil {
		t.Fatal(err)
	}
	var table strings.Builder
	if err := tally.Print(&table); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d files:\n%s\nwhy settled files were refused:\n%s", n, table.String(), strings.Join(tally.Common(), "\n"))
	if len(tally.Silent) > mostWrong {
		t.Errorf("%d files silently misread, at most %d were:\n%s", len(tally.Silent), mostWrong, strings.Join(tally.Silent, "\n"))
	}
	if share := tally.All.Share(); share < leastRight {
		t.Errorf("%.1f %% of the settled files are right, want %.1f %%:\n%s", 100*share, 100*leastRight, strings.Join(tally.Short, "\n"))
	}
	if len(tally.Unasked) > 0 {
		t.Errorf("refused for what only a person can settle, and nobody was asked:\n%s", strings.Join(tally.Unasked, "\n"))
	}
}

func TestTheSameSeedMakesTheSameFiles(t *testing.T) {
	a, _, _ := Recipes(3, 40)
	b, _, _ := Recipes(3, 40)
	for i := range a {
		f, g := Make(uint64(i), a[i]), Make(uint64(i), b[i])
		if !bytes.Equal(f.Bytes, g.Bytes) || !reflect.DeepEqual(f.Values, g.Values) {
			t.Fatalf("file %d differs: %s", i, a[i])
		}
	}
}

func TestEveryLevelIsMade(t *testing.T) {
	list, covered, possible := Recipes(1, 3000)
	seen := map[string]bool{}
	for _, r := range list {
		for name, level := range r {
			seen[name+"="+level] = true
		}
	}
	for _, d := range dimensions {
		for _, level := range d.levels {
			if !seen[d.name+"="+level] {
				t.Errorf("no file has %s=%s", d.name, level)
			}
		}
	}
	if covered*10 < possible*8 {
		t.Errorf("%d of %d pairs of ways met", covered, possible)
	}
}

// The corpus's own arithmetic against published figures.
func TestTruthAgainstPublishedFigures(t *testing.T) {
	for _, tt := range []struct {
		unit     string
		mantissa int64
		decimals int
		want     float64
		source   string
	}{
		{"psi", 1, 0, 6.894757, "NIST SP 811 (2008), B.8, pound-force per square inch"},
		{"kg/cm2", 1, 0, 98.0665, "NIST SP 811 (2008), B.8, kilogram-force per square centimeter"},
		{"bar", 105, 2, 105, "SI Brochure, 9th ed., table 8"},
		{"°F", 212, 0, 100, "NIST SP 811 (2008), B.9"},
		{"K", 27316, 2, 0.01, "SI Brochure, 9th ed., sec. 2.3.1"},
	} {
		got, _ := labels[tt.unit].canonical(tt.mantissa, tt.decimals).Float64()
		if math.Abs(got-tt.want) > 5e-7 {
			t.Errorf("%d e-%d %s = %.9g, want %.9g (%s)", tt.mantissa, tt.decimals, tt.unit, got, tt.want, tt.source)
		}
	}
}

func TestHalvesGoToEven(t *testing.T) {
	for text, want := range map[string]int64{"1.0005": 1000, "1.0015": 1002, "-1.0005": -1000, "-1.0015": -1002, "-1.0025": -1002, "0.00051": 1, "-0.00051": -1, "2": 2000} {
		if got := thousandths(rat(text)); got != want {
			t.Errorf("%s is %d thousandths, want %d", text, got, want)
		}
	}
}

// A scorer that does not see a fault is worth nothing: one digit, one minute or one
// row changed in the truth must show.
func TestTheScorerSeesWrongValues(t *testing.T) {
	list, _, _ := Recipes(1, 1)
	plain := Recipe{}
	for name := range list[0] {
		plain[name] = dimensionNamed(name).levels[0]
	}
	for name, spoil := range map[string]func(f *File){
		"a digit":  func(f *File) { f.Values[5].Steps++ },
		"a minute": func(f *File) { f.Values[5].UTC += 60e6 },
		"a line":   func(f *File) { f.Lines++ },
		"nothing":  func(f *File) {},
	} {
		f := Make(1, plain)
		spoil(&f)
		v, err := Score(context.Background(), f)
		if err != nil {
			t.Fatal(err)
		}
		if want := name != "nothing"; (v.Outcome == Wrong) != want {
			t.Errorf("with %s spoiled the file is %s: %v", name, v.Outcome, v.Faults)
		}
	}
}
