// Command bundle makes the chart engine that the report's pages load.
//
//  1. npm ci installs what package-lock.json pins: the engine, and the
//     accessibility checker that the browser tests use.
//  2. esbuild joins what entry.js names into one script and drops the rest.
//  3. The script is checked (size, nothing that could end a script element),
//     compressed, and written to ../dist together with the licences it carries.
//
// It runs in the folder of package report, under go generate. Nothing it writes
// is committed. A result that is still current is left alone, so that a machine
// without a network can build again.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"github.com/evanw/esbuild/pkg/api"
)

// The size budget of the script. The slim set of engine 6.1.0 has 840 kB, 290 kB
// compressed (measured); more means that something unwanted came along.
const (
	maxBytes       = 900_000
	maxCompressed  = 300_000
	source, target = "bundle", "dist"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func run() error {
	stamp, err := inputs("package-lock.json", "entry.js", "main.go", "notices.go")
	if err != nil {
		return err
	}
	if current(stamp) {
		return nil
	}
	if err := install(); err != nil {
		return err
	}
	script, err := join()
	if err != nil {
		return err
	}
	return write(script, stamp)
}

// inputs is the hash of the files that the bundle is made from.
func inputs(names ...string) (string, error) {
	h := sha256.New()
	for _, name := range names {
		b, err := os.ReadFile(filepath.Join(source, name))
		if err != nil {
			return "", err
		}
		fmt.Fprintf(h, "%s %d\n", name, len(b))
		h.Write(b)
	}
	return hex.EncodeToString(h.Sum(nil)) + "\n", nil
}

func current(stamp string) bool {
	for _, name := range []string{"echarts.js.gz", "NOTICES.txt"} {
		if _, err := os.Stat(filepath.Join(target, name)); err != nil {
			return false
		}
	}
	if _, err := os.Stat(filepath.Join(source, "node_modules", "axe-core")); err != nil {
		return false
	}
	b, err := os.ReadFile(filepath.Join(target, "made-from"))
	return err == nil && string(b) == stamp
}

func install() error {
	cmd := exec.Command("npm", "ci", "--ignore-scripts")
	cmd.Dir = source
	cmd.Stdout, cmd.Stderr = os.Stderr, os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("npm ci in %s: %w (Node and npm must be installed, and the npm registry reachable once)", source, err)
	}
	return nil
}

func join() ([]byte, error) {
	result := api.Build(api.BuildOptions{
		EntryPoints:       []string{filepath.Join(source, "entry.js")},
		Bundle:            true,
		Format:            api.FormatIIFE,
		GlobalName:        "echarts",
		Target:            api.ES2018,
		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
		LegalComments:     api.LegalCommentsEndOfFile,
		Charset:           api.CharsetASCII,
	})
	var errs []error
	for _, m := range result.Errors {
		errs = append(errs, errors.New(m.Text))
	}
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	script := result.OutputFiles[0].Contents
	return script, check(script)
}

// check refuses a script that could not stand inside a page, or is over the budget.
func check(script []byte) error {
	for _, end := range []string{"</script", "<!--"} {
		if bytes.Contains(bytes.ToLower(script), []byte(end)) {
			return fmt.Errorf("the script contains %q: it could not stand inside a page", end)
		}
	}
	if len(script) > maxBytes {
		return fmt.Errorf("the script has %d bytes, the budget is %d", len(script), maxBytes)
	}
	return nil
}

func write(script []byte, stamp string) error {
	packed, err := compress(script)
	if err != nil {
		return err
	}
	if len(packed) > maxCompressed {
		return fmt.Errorf("the compressed script has %d bytes, the budget is %d", len(packed), maxCompressed)
	}
	notices, err := notices()
	if err != nil {
		return err
	}
	// made-from comes last: it says that the others are whole.
	return errors.Join(
		os.WriteFile(filepath.Join(target, "echarts.js.gz"), packed, 0o644),
		os.WriteFile(filepath.Join(target, "NOTICES.txt"), notices, 0o644),
		os.WriteFile(filepath.Join(target, "made-from"), []byte(stamp), 0o644),
	)
}

func compress(b []byte) ([]byte, error) {
	var buf bytes.Buffer
	w, err := gzip.NewWriterLevel(&buf, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	_, err = w.Write(b)
	if err := errors.Join(err, w.Close()); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}
