package main

import (
	"encoding/json"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// mayImport says which packages of the project and of others each package may
// import, besides the standard library. An entry ending in /... allows a whole
// tree. The left side may import the right side, never the other way round.
var mayImport = map[string][]string{
	"rimelog/cmd/rimelog": {
		"rimelog/...", "golang.org/x/term", "github.com/wneessen/go-mail",
	},
	"rimelog/cmd/release": {}, "rimelog/cmd/vulncheck": {},
	"rimelog/analysis/report": {
		"rimelog/analysis/...", "rimelog/pipeline", "rimelog/pipeline/table", "rimelog/pipeline/dataset", "rimelog/pipeline/frame",
		"rimelog/pipeline/register", "rimelog/pipeline/store", "rimelog/thermo",
	},
	"rimelog/analysis/report/chart":  {"rimelog/analysis/robust", "rimelog/analysis/say", "github.com/go-echarts/go-echarts/v2/..."},
	"rimelog/analysis/say":           {"rimelog/thermo/units", "golang.org/x/text/..."},
	"rimelog/analysis/report/bundle": {"github.com/evanw/esbuild/pkg/api"},
	"rimelog/analysis": {
		"rimelog/analysis/condition", "rimelog/analysis/cycle", "rimelog/analysis/steady", "rimelog/analysis/drift", "rimelog/analysis/records", "rimelog/analysis/trust", "rimelog/analysis/energy", "rimelog/analysis/robust",
		"rimelog/pipeline", "rimelog/pipeline/table", "rimelog/pipeline/dataset", "rimelog/pipeline/frame",
		"rimelog/pipeline/register", "rimelog/pipeline/store", "rimelog/thermo", "rimelog/thermo/units", "github.com/goccy/go-json", "golang.org/x/sync/errgroup",
	},
	"rimelog/analysis/cycle":     {partOfAnalysis},
	"rimelog/analysis/trust":     {partOfAnalysis, "rimelog/analysis/cycle"},
	"rimelog/analysis/steady":    {partOfAnalysis, "rimelog/analysis/cycle"},
	"rimelog/analysis/drift":     {partOfAnalysis, "rimelog/analysis/cycle", "rimelog/analysis/condition"},
	"rimelog/analysis/condition": {"rimelog/analysis/cycle", "rimelog/pipeline/register", "rimelog/pipeline/table"},
	"rimelog/analysis/energy":    {partOfAnalysis, "rimelog/analysis/cycle"},
	"rimelog/analysis/records":   {partOfAnalysis, "github.com/arran4/golang-ical"},
	"rimelog/analysis/score": {
		"rimelog/analysis/robust", "rimelog/ingest/demofleet/truth", "rimelog/pipeline/table", "rimelog/pipeline/dataset", "rimelog/pipeline/frame",
	},
	"rimelog/analysis/digest":   {"rimelog/pipeline/table", "rimelog/analysis/drift", "rimelog/analysis/say"},
	"rimelog/analysis/robust":   {"gonum.org/v1/gonum/..."},
	"rimelog/ingest/scan":       {},
	"rimelog/ingest/limits":     {},
	"rimelog/ingest/clock":      {"rimelog/ingest/scan"},
	"rimelog/ingest/merge":      {"rimelog/pipeline/dataset", "rimelog/pipeline/frame", "rimelog/pipeline/table"},
	"rimelog/ingest/naming":     {"rimelog/ingest/scan", "rimelog/pipeline/table", "rimelog/thermo/units"},
	"rimelog/ingest/understood": {"rimelog/ingest/clock", "rimelog/pipeline/dataset", "rimelog/thermo/units"},
	"rimelog/ingest/raw": {
		"rimelog/ingest/scan", "rimelog/ingest/limits", "rimelog/ingest/clock", "rimelog/ingest/naming", "golang.org/x/text/...", "github.com/klauspost/compress/...",
	},
	"rimelog/ingest/dialect":  {"rimelog/ingest/scan", "rimelog/ingest/clock", "rimelog/ingest/limits", "rimelog/ingest/naming", "rimelog/ingest/raw"},
	"rimelog/ingest/timeline": {"rimelog/ingest/scan", "rimelog/ingest/clock", "rimelog/ingest/naming", "rimelog/ingest/dialect", "rimelog/thermo/units"},
	"rimelog/ingest/layout":   {"rimelog/ingest/scan", "rimelog/ingest/clock", "rimelog/ingest/naming", "rimelog/ingest/dialect", "rimelog/thermo/units"},
	"rimelog/ingest/answers": {
		"rimelog/ingest/scan", "rimelog/ingest/clock", "rimelog/ingest/naming", "rimelog/ingest/dialect", "rimelog/pipeline/register", "rimelog/thermo/units",
	},
	"rimelog/ingest/plan": {
		partOfReading, "rimelog/ingest/timeline", "rimelog/ingest/layout", "rimelog/ingest/answers", "rimelog/ingest/understood",
	},
	"rimelog/ingest/pass": {
		partOfReading, "rimelog/ingest/timeline", "rimelog/ingest/layout", "rimelog/ingest/answers", "rimelog/ingest/understood", "rimelog/ingest/plan", "rimelog/ingest/merge",
		"rimelog/pipeline/dataset", "rimelog/pipeline/frame",
	},
	"rimelog/ingest/read": {
		partOfReading, "rimelog/ingest/answers", "rimelog/ingest/understood", "rimelog/ingest/plan", "rimelog/ingest/pass", "rimelog/ingest/merge",
		"rimelog/pipeline/dataset", "rimelog/pipeline/frame",
	},
	"rimelog/ingest/look":  {partOfReading, "rimelog/ingest/answers", "rimelog/ingest/layout", "rimelog/ingest/plan"},
	"rimelog/ingest/claim": {"rimelog/ingest/scan", "rimelog/ingest/raw", "rimelog/ingest/look", "rimelog/pipeline/register"},
	"rimelog/ingest/explanation": {
		partOfReading, "rimelog/ingest/answers", "rimelog/ingest/understood", "rimelog/ingest/plan", "rimelog/ingest/pass", "rimelog/ingest/read", "rimelog/ingest/look", "rimelog/ingest/claim",
	},
	"rimelog/ingest": {
		"rimelog/ingest/limits", "rimelog/ingest/clock", "rimelog/ingest/merge", "rimelog/ingest/raw", "rimelog/ingest/answers", "rimelog/ingest/understood", "rimelog/ingest/timeline", "rimelog/ingest/plan",
		"rimelog/ingest/pass", "rimelog/ingest/read", "rimelog/ingest/look", "rimelog/ingest/claim",
		"rimelog/pipeline", "rimelog/pipeline/table", "rimelog/pipeline/frame", "rimelog/pipeline/register", "rimelog/pipeline/dataset", "rimelog/pipeline/store", "golang.org/x/sync/errgroup",
	},
	"rimelog/ingest/demofleet": {
		"rimelog/ingest/demofleet/plant", "rimelog/ingest/demofleet/truth", "rimelog/pipeline/register", "rimelog/pipeline/table", "rimelog/thermo", "rimelog/thermo/units", "golang.org/x/text/...",
	},
	"rimelog/ingest/demofleet/plant": {"rimelog/thermo"},
	"rimelog/ingest/demofleet/truth": {},
	"rimelog/pipeline/dataset": {"github.com/goccy/go-json",
		"rimelog/pipeline", "rimelog/pipeline/table", "rimelog/pipeline/frame", "rimelog/pipeline/store",
		"github.com/parquet-go/parquet-go/...",
		"github.com/klauspost/compress/huff0", "github.com/klauspost/compress/zstd",
	},
	"rimelog/pipeline/export":       {"rimelog/pipeline/table", "rimelog/pipeline/frame", "rimelog/pipeline/dataset", "github.com/xuri/excelize/v2"},
	"rimelog/pipeline/local":        {"rimelog/pipeline"},
	"rimelog/pipeline/array":        {"rimelog/pipeline", "rimelog/pipeline/store"},
	"rimelog/pipeline/register":     {"rimelog/thermo", "rimelog/pipeline/table", "github.com/agnivade/levenshtein", "golang.org/x/text/..."},
	"rimelog/pipeline/frame":        {"rimelog/pipeline/table", "github.com/apache/arrow/go/v17/..."},
	"rimelog/pipeline":              {},
	"rimelog/pipeline/table":        {},
	"rimelog/pipeline/store/bucket": {"rimelog/pipeline/store", "gocloud.dev/...", "golang.org/x/sync/errgroup"},
	"rimelog/pipeline/store":        {"github.com/gofrs/flock", "golang.org/x/sync/errgroup", "golang.org/x/sys/..."},
	"rimelog/thermo/units":          {},
	"rimelog/thermo":                {"github.com/agnivade/levenshtein", "gonum.org/v1/gonum/...", "rimelog/thermo/internal/..."},
}

// partOfAnalysis stands for what every part of the analysis may import.
const partOfAnalysis = "part of analysis"

var analysisParts = []string{
	"rimelog/pipeline/table", "rimelog/pipeline/frame", "rimelog/pipeline/register", "rimelog/thermo", "rimelog/thermo/units", "rimelog/analysis/robust",
}

// partOfReading stands for what every package that reads a file may import.
const partOfReading = "part of reading"

var readingParts = []string{
	"rimelog/ingest/scan", "rimelog/ingest/limits", "rimelog/ingest/clock", "rimelog/ingest/naming", "rimelog/ingest/raw", "rimelog/ingest/dialect",
	"rimelog/pipeline/table", "rimelog/pipeline/register", "rimelog/thermo/units",
}

// onlyHere names packages that a single package of the project may import.
var onlyHere = map[string]string{
	"log/slog":                                 "rimelog/cmd/rimelog",
	"github.com/parquet-go/parquet-go":         "rimelog/pipeline/dataset",
	"github.com/apache/arrow/go/v17/arrow":     "rimelog/pipeline/frame",
	"github.com/go-echarts/go-echarts/v2/opts": "rimelog/analysis/report/chart",
	"gonum.org/v1/gonum/stat":                  "rimelog/analysis/robust",
}

func TestImportsPointOneWay(t *testing.T) {
	for path, imports := range goList(t) {
		allowed, known := mayImport[path]
		if !known && !internalOrTest(path) {
			t.Errorf("%s has no entry in mayImport: say what it may import, or put it where it belongs", path)
			continue
		}
		for _, imp := range imports {
			if known && !standard(imp) && !allows(allowed, imp) {
				t.Errorf("%s imports %s: not in its entry of mayImport", path, imp)
			}
			if only, ok := onlyHere[imp]; ok && only != path {
				t.Errorf("%s imports %s: only %s may", path, imp, only)
			}
		}
	}
}

func allows(allowed []string, imp string) bool {
	for _, a := range allowed {
		if a == partOfAnalysis && slices.Contains(analysisParts, imp) {
			return true
		}
		if a == partOfReading && slices.Contains(readingParts, imp) {
			return true
		}
		tree, isTree := strings.CutSuffix(a, "/...")
		if a == imp || isTree && (imp == tree || strings.HasPrefix(imp, tree+"/")) {
			return true
		}
	}
	return false
}

// internalOrTest tells packages that serve one package, or its tests, alone:
// the compiler keeps the first kind in place, and no product code imports the second.
func internalOrTest(path string) bool {
	return strings.Contains(path, "/internal/") || strings.HasSuffix(path, "test")
}

func standard(imp string) bool {
	first, _, _ := strings.Cut(imp, "/")
	return !strings.Contains(first, ".") && first != "rimelog"
}

func goList(t *testing.T) map[string][]string {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "rimelog/...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	pkgs := map[string][]string{}
	for dec := json.NewDecoder(strings.NewReader(string(out))); dec.More(); {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := dec.Decode(&p); err != nil {
			t.Fatal(err)
		}
		pkgs[p.ImportPath] = p.Imports
	}
	return pkgs
}

func TestNoInit(t *testing.T) {
	out, err := exec.Command("git", "-C", "../..", "grep", "-nE", `^func init\(\)`, "--", "*.go").CombinedOutput()
	if err == nil {
		t.Errorf("wire things in cmd, not in init:\n%s", out)
	}
}
