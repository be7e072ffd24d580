package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"rimelog/ingest/explanation"
	"rimelog/ingest/limits"
	"rimelog/ingest/raw"
	"rimelog/pipeline/register"
)

func explainCommand() command {
	return command{
		name: "explain", takes: "FILE",
		short: "says how a logger's file is read, on what evidence, and what only you can settle",
		long: `Reads one file as run would, changes nothing, and prints what was decided (encoding,
delimiter, decimal mark, order of the date, zone, what each column means, gauge or absolute),
on what evidence, which lines and cells were not taken and why, and the line of
register/channels.csv that settles what is open. The register of the workspace answers for
a file below its uploads/; any other file is read as if nobody had answered anything. With -values it
prints the table as read instead: UTC times and channels in canonical units, as CSV.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			values := fs.Bool("values", false, "print the table as read, as CSV, instead of how it was read")
			return func(ctx context.Context, out *console, operands []string) error {
				if len(operands) != 1 {
					return usagef("explain takes one file, as in `rimelog explain uploads/Cold-1/visit.csv`")
				}
				return explain(ctx, out, w.folder, operands[0], *values)
			}
		},
	}
}

func explain(ctx context.Context, out *console, folder, file string, values bool) (err error) {
	reg, err := register.Load(ctx, registerFS(folder))
	if err != nil {
		return fmt.Errorf("read the register: %w", err)
	}
	o, err := readOptions(os.DirFS(folder), filepath.Join(folder, optionsFile))
	if err != nil {
		return err
	}
	f, err := os.Open(file)
	if err != nil {
		return usagef("%v", err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	sum, size, err := hash(f)
	if err != nil {
		return err
	}
	src, path := raw.Source{ReaderAt: f, Size: size}, uploadPath(folder, file)
	if values {
		return explanation.WriteValues(ctx, out.out, src, path, sum, reg, o.Ingest)
	}
	return explainTo(ctx, out, src, path, sum, reg, o.Ingest)
}

func explainTo(ctx context.Context, out *console, src raw.Source, path, sum string, reg *register.Register, o limits.Options) error {
	e, err := explanation.Of(ctx, src, path, sum, reg, o)
	if err != nil {
		return err
	}
	if out.json {
		out.print(e)
		return nil
	}
	return e.Print(out.out)
}

func hash(f io.Reader) (sum string, size int64, err error) {
	h := sha256.New()
	size, err = io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), size, err
}

// uploadPath is the file's path below uploads/, or its name where it lies elsewhere.
func uploadPath(folder, file string) string {
	if path, ok := insideUploads(folder, file); ok {
		return path
	}
	return filepath.Base(file)
}

// belowUploads is the file's path below uploads/; a file that does not lie there
// is taken for such a path already.
func belowUploads(folder, file string) string {
	if path, ok := insideUploads(folder, file); ok {
		return path
	}
	return filepath.ToSlash(file)
}

func insideUploads(folder, file string) (string, bool) {
	root, errRoot := filepath.Abs(filepath.Join(folder, "uploads"))
	path, errPath := filepath.Abs(file)
	if errRoot != nil || errPath != nil {
		return "", false
	}
	rel, err := filepath.Rel(root, path)
	return filepath.ToSlash(rel), err == nil && !strings.HasPrefix(rel, "..")
}
