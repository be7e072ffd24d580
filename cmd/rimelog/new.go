package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"rimelog/pipeline/register"
)

func newCommand() command {
	return command{
		name:  "new",
		short: "makes an empty workspace: folders, and register files that explain their columns",
		long: `Makes the workspace's folder with uploads/ and register/, and in register/ the files
systems.csv, channels.csv, events.csv, instruments.csv and tariffs.csv with a line of column
names and comments that say what each column may hold. A file that is there already is left as it is.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			return func(_ context.Context, out *console, _ []string) error { return newWorkspace(out, w.folder) }
		},
	}
}

func newWorkspace(out *console, folder string) error {
	for _, sub := range []string{"uploads", "register"} {
		if err := os.MkdirAll(filepath.Join(folder, sub), 0o755); err != nil {
			return err
		}
	}
	for _, f := range register.Files() {
		path := filepath.Join(folder, "register", f.Name)
		made, err := template(path, f)
		if err != nil {
			return err
		}
		if made {
			fmt.Fprintln(out.out, "made", path)
		} else {
			fmt.Fprintln(out.out, "left", path, "as it is")
		}
	}
	fmt.Fprintf(out.out, "Next: a line for each machine in %s, exports below %s, then `rimelog run -workspace %s`.\n",
		filepath.Join(folder, "register", "systems.csv"), filepath.Join(folder, "uploads"), folder)
	return nil
}

// template writes an empty register file where there is none.
func template(path string, f register.File) (made bool, err error) {
	out, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return true, errors.Join(f.WriteTemplate(out), out.Close())
}
