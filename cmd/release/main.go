// Command release builds what is given to users: for each system and processor one
// archive with the static program, its manual, the licences of everything inside and a
// software bill of materials, and the checksums of all archives.
//
//  1. The program is compiled without cgo, the chart engine embedded (target.go).
//  2. The licence texts of every Go module in it, of Go itself and of the chart engine
//     are put together (licences.go).
//  3. cyclonedx-gomod reads the bill of materials out of the binary; the chart engine's
//     packages are added (materials.go).
//  4. All of it goes into an archive whose bytes follow from its content (archive.go).
//
// It is run by `make release`, from the top of the project.
package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
)

// targets are the systems and processors that a release is built for.
const targets = "linux/amd64,linux/arm64,windows/amd64,windows/arm64,darwin/amd64,darwin/arm64"

func main() {
	out := flag.String("out", "bin/release", "the `folder` to build in")
	which := flag.String("targets", targets, "systems and processors, separated by commas")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := release(ctx, *out, strings.Split(*which, ","))
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func release(ctx context.Context, out string, names []string) error {
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	manual, err := command(ctx, nil, "go", "run", "./cmd/rimelog", "man")
	if err != nil {
		return err
	}
	var sums strings.Builder
	for _, name := range names {
		t, err := parseTarget(name)
		if err != nil {
			return err
		}
		path, err := t.release(ctx, out, manual)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(b), filepath.Base(path))
		fmt.Printf("%s  %.1f MB\n", path, float64(len(b))/1e6)
	}
	return os.WriteFile(filepath.Join(out, "SHA256SUMS"), []byte(sums.String()), 0o644)
}

// release builds one target's archive and returns its path.
func (t target) release(ctx context.Context, out string, manual []byte) (path string, err error) {
	scratch, err := os.MkdirTemp("", "release-")
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(scratch)) }()
	program := filepath.Join(scratch, t.program())
	if err := t.build(ctx, program); err != nil {
		return "", err
	}
	content, err := t.content(ctx, program)
	if err != nil {
		return "", err
	}
	content = append(content, member{"rimelog.1", manual, false})
	path = filepath.Join(out, t.archive())
	return path, writeArchive(path, t.folder(), content)
}

// content is what goes into the archive besides the manual.
func (t target) content(ctx context.Context, program string) ([]member, error) {
	binary, err := os.ReadFile(program)
	if err != nil {
		return nil, err
	}
	members := []member{{t.program(), binary, true}}
	for _, name := range []string{"README.md", "LICENSE", "thermo/ATTRIBUTION.md"} {
		b, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		members = append(members, member{filepath.Base(name), b, false})
	}
	texts, err := t.licences(ctx)
	if err != nil {
		return nil, err
	}
	bill, err := materials(ctx, program)
	if err != nil {
		return nil, err
	}
	return append(members, member{"LICENCES.txt", texts, false}, member{"rimelog.cdx.json", bill, false}), nil
}
