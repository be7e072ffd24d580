package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"rimelog/pipeline/register"
)

func initCommand() command {
	return command{
		name:  "init",
		short: "makes a workspace: folders, register files with an example row, options at their defaults",
		long: `Makes the workspace's folder with uploads/ for the exports of loggers, register/ with a file for
each table (a line of column names and an example row, which is not read) and a README.md that explains
the columns, and rimelog.json with every option at its default. What is there already is left as it is.

  rimelog init -workspace firm
  ... a line for each machine in firm/register/systems.csv, exports below firm/uploads/SYSTEM/ ...
  rimelog run -workspace firm`,
		setup: func(fs *flag.FlagSet) action {
			folder := fs.String("workspace", ".", "the `folder` to make it in")
			return func(_ context.Context, out *console, _ []string) error { return initWorkspace(out, *folder) }
		},
	}
}

// A template is a file that a new workspace gets, below its folder.
type template struct {
	name  string
	write func(io.Writer) error
}

func templates() []template {
	all := []template{
		{optionsFile, writeDefaultOptions},
		{"register/README.md", register.WriteGuide},
	}
	for _, f := range register.Files() {
		all = append(all, template{"register/" + f.Name, f.WriteTemplate})
	}
	return all
}

func writeDefaultOptions(w io.Writer) error {
	b, err := json.MarshalIndent(defaultOptions(), "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(b, '\n'))
	return err
}

func initWorkspace(out *console, folder string) error {
	for _, sub := range []string{"uploads", "register"} {
		if err := os.MkdirAll(filepath.Join(folder, sub), 0o755); err != nil {
			return err
		}
	}
	made, left := []string{}, []string{}
	for _, t := range templates() {
		path := filepath.Join(folder, filepath.FromSlash(t.name))
		fresh, err := t.make(path)
		if err != nil {
			return err
		}
		if fresh {
			made = append(made, path)
		} else {
			left = append(left, path)
		}
	}
	if out.json {
		out.print(map[string][]string{"made": made, "left": left})
		return nil
	}
	for _, p := range made {
		fmt.Fprintln(out.out, "made", p)
	}
	for _, p := range left {
		fmt.Fprintln(out.out, "left", p, "as it is")
	}
	fmt.Fprintf(out.out, "Next: a line for each machine in %s, exports below %s, then `rimelog run -workspace %s`.\n",
		filepath.Join(folder, "register", "systems.csv"), filepath.Join(folder, "uploads", "SYSTEM"), folder)
	return nil
}

// make writes the file where there is none.
func (t template) make(path string) (made bool, err error) {
	var b bytes.Buffer
	if err := t.write(&b); err != nil {
		return false, err
	}
	out, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	_, err = out.Write(b.Bytes())
	return true, errors.Join(err, out.Close())
}
