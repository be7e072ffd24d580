package report_test

import (
	"bytes"
	"encoding/json"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"text/template/parse"

	"rimelog/analysis/say"
)

// Each language has every text of the report, as often with the same places for figures,
// and none that the report does not use any more.
func TestLanguagesHaveEveryText(t *testing.T) {
	used := textsInUse(t)
	for _, tag := range say.Languages()[1:] {
		l, err := say.Load(tag)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, tag+", texts", used.texts, slices.Collect(maps.Keys(l.Texts)))
		compare(t, tag+", things", used.things, slices.Collect(maps.Keys(l.Things)))
		for key, text := range l.Texts {
			samePlaces(t, tag, key, text)
		}
		for thing, forms := range l.Things {
			if forms["other"] == "" {
				t.Errorf("%s: %q has no form for any other number", tag, thing)
			}
		}
	}
}

func compare(t *testing.T, what string, used map[string]bool, have []string) {
	t.Helper()
	for _, key := range slices.Sorted(maps.Keys(used)) {
		if !slices.Contains(have, key) {
			t.Errorf("%s: %q is missing", what, key)
		}
	}
	for _, key := range have {
		if !used[key] {
			t.Errorf("%s: %q is not used any more", what, key)
		}
	}
}

var (
	places   = regexp.MustCompile(`%(\[\d\])?s|\{\w+\}`)
	numbered = regexp.MustCompile(`%\[(\d)\]s`)
)

// samePlaces checks that a translation fills what the English text fills, each once.
func samePlaces(t *testing.T, tag, key, text string) {
	t.Helper()
	want, got := places.FindAllString(key, -1), places.FindAllString(text, -1)
	if numbered.MatchString(text) {
		for i := range want {
			want[i] = "%[" + string(rune('1'+i)) + "]s"
		}
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(want, got) {
		t.Errorf("%s: %q has the places %v, its translation %v", tag, key, want, got)
	}
	if percent := strings.Contains(places.ReplaceAllString(text, ""), "%") && len(want) > 0; percent && !strings.Contains(text, "%%") {
		t.Errorf("%s: %q: a percent sign beside places is written %%%%", tag, key)
	}
}

// texts are the keys of the catalogue that code uses.
type texts struct{ texts, things map[string]bool }

// textsInUse are those of every package that speaks, and of the templates.
func textsInUse(t *testing.T) texts {
	t.Helper()
	used := textsOfPackages(t, "rimelog/analysis/report", "rimelog/analysis/report/chart", "rimelog/analysis/say", "rimelog/analysis/digest")
	for key := range textsOfTemplates(t) {
		used.texts[key] = true
	}
	return used
}

// textsOfPackages finds the constants of the types Text and Thing.
func textsOfPackages(t *testing.T, paths ...string) texts {
	t.Helper()
	exports := exportData(t, paths...)
	fset := token.NewFileSet()
	lookup := func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) }
	config := types.Config{Importer: importer.ForCompiler(fset, "gc", lookup)}
	found := texts{map[string]bool{}, map[string]bool{}}
	for _, path := range paths {
		info := types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
		if _, err := config.Check(path, fset, sources(t, fset, path), &info); err != nil {
			t.Fatal(err)
		}
		for _, v := range info.Types {
			if v.Value == nil || v.Value.Kind() != constant.String {
				continue
			}
			text := constant.StringVal(v.Value)
			switch {
			case text == "":
			case strings.HasSuffix(v.Type.String(), "/say.Text"):
				found.texts[text] = true
			case strings.HasSuffix(v.Type.String(), "/say.Thing"):
				found.things[text] = true
			}
		}
	}
	return found
}

// exportData are the files with the types of the packages that some packages need.
func exportData(t *testing.T, paths ...string) map[string]string {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list", "-export", "-deps", "-f", "{{.ImportPath}} {{.Export}}"}, paths...)...).Output()
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for line := range strings.Lines(string(out)) {
		path, file, _ := strings.Cut(strings.TrimSpace(line), " ")
		files[path] = file
	}
	return files
}

// sources parses the files of a package that are no tests.
func sources(t *testing.T, fset *token.FileSet, path string) (files []*ast.File) {
	t.Helper()
	dir := filepath.Join("..", strings.TrimPrefix(path, "rimelog/analysis"))
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	return files
}

// textsOfTemplates finds the texts that templates say.
func textsOfTemplates(t *testing.T) map[string]bool {
	t.Helper()
	found := map[string]bool{}
	names, err := filepath.Glob("html/*.html")
	if err != nil || len(names) == 0 {
		t.Fatalf("no templates: %v", err)
	}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, tree := range parsed(t, name, string(b)) {
			walk(tree.Root, func(n parse.Node) {
				command, ok := n.(*parse.CommandNode)
				if !ok || len(command.Args) < 2 {
					return
				}
				name, isName := command.Args[0].(*parse.IdentifierNode)
				text, isText := command.Args[1].(*parse.StringNode)
				if isName && isText && name.Ident == "say" {
					found[text.Text] = true
				}
			})
		}
	}
	return found
}

func parsed(t *testing.T, name, text string) map[string]*parse.Tree {
	t.Helper()
	trees := map[string]*parse.Tree{}
	tree := parse.New(name)
	tree.Mode = parse.SkipFuncCheck
	if _, err := tree.Parse(text, "", "", trees); err != nil {
		t.Fatal(err)
	}
	return trees
}

// walk visits every node of a template that may hold a command.
func walk(n parse.Node, visit func(parse.Node)) {
	branch := func(b *parse.BranchNode) {
		walk(b.Pipe, visit)
		walk(b.List, visit)
		walk(b.ElseList, visit)
	}
	switch n := n.(type) {
	case *parse.ListNode:
		if n == nil {
			return
		}
		for _, x := range n.Nodes {
			walk(x, visit)
		}
	case *parse.IfNode:
		branch(&n.BranchNode)
	case *parse.RangeNode:
		branch(&n.BranchNode)
	case *parse.WithNode:
		branch(&n.BranchNode)
	case *parse.ActionNode:
		walk(n.Pipe, visit)
	case *parse.TemplateNode:
		walk(n.Pipe, visit)
	case *parse.PipeNode:
		if n == nil {
			return
		}
		for _, c := range n.Cmds {
			walk(c, visit)
		}
	case *parse.CommandNode:
		visit(n)
		for _, a := range n.Args {
			walk(a, visit)
		}
	}
}

// With RIMELOG_TEXTS=FILE the test writes what a language needs, for a new one.
func TestWriteTexts(t *testing.T) {
	file := os.Getenv("RIMELOG_TEXTS")
	if file == "" {
		return
	}
	used := textsInUse(t)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(map[string]any{"texts": slices.Sorted(maps.Keys(used.texts)), "things": slices.Sorted(maps.Keys(used.things)), "dictionary": slices.Sorted(maps.Keys(columnTexts()))}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}
