package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// notices are the licence texts of the chart engine, made with its bundle.
const notices = "analysis/report/dist/NOTICES.txt"

// A module is a Go module with packages in the program.
type module struct{ Path, Version, Dir string }

// licences puts together the licence texts of all that is in the program. A module
// without one is an error: nobody may be given what nobody licensed.
func (t target) licences(ctx context.Context) ([]byte, error) {
	modules, err := t.modules(ctx)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.WriteString("The program contains the following open-source software besides its own (MIT, see LICENSE).\n")
	goroot, err := command(ctx, nil, "go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	modules = append([]module{{"the Go runtime and standard library", runtime.Version(), strings.TrimSpace(string(goroot))}}, modules...)
	for _, m := range modules {
		if err := m.licence(&b); err != nil {
			return nil, err
		}
	}
	chart, err := os.ReadFile(notices)
	if err != nil {
		return nil, fmt.Errorf("%w: run make assets first", err)
	}
	b.WriteString("\n\n")
	b.Write(chart)
	return b.Bytes(), nil
}

// modules lists the modules of others with packages in the program, by path.
func (t target) modules(ctx context.Context) ([]module, error) {
	out, err := command(ctx, t.env(), "go", "list", "-deps", "-json=Module", "./cmd/rimelog")
	if err != nil {
		return nil, err
	}
	found := map[string]module{}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			Module *struct {
				module
				Main bool
			}
		}
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		if p.Module != nil && !p.Module.Main {
			found[p.Module.Path] = p.Module.module
		}
	}
	return slices.SortedFunc(maps.Values(found), func(a, b module) int { return strings.Compare(a.Path, b.Path) }), nil
}

// licence writes the licence texts that lie at a module's top.
func (m module) licence(b *bytes.Buffer) error {
	entries, err := os.ReadDir(m.Dir)
	if err != nil {
		return err
	}
	found := false
	for _, e := range entries {
		if e.IsDir() || !isLicence(e.Name()) {
			continue
		}
		text, err := os.ReadFile(filepath.Join(m.Dir, e.Name()))
		if err != nil {
			return err
		}
		found = true
		fmt.Fprintf(b, "\n\n==== %s %s: %s ====\n\n%s\n", m.Path, m.Version, e.Name(), bytes.TrimSpace(text))
	}
	if !found {
		return fmt.Errorf("module %s %s has no licence at %s", m.Path, m.Version, m.Dir)
	}
	return nil
}

func isLicence(name string) bool {
	name = strings.ToLower(name)
	for _, prefix := range []string{"license", "licence", "copying", "notice", "patents", "unlicense"} {
		if strings.HasPrefix(name, prefix) && !strings.HasSuffix(name, ".go") {
			return true
		}
	}
	return false
}
