// Command vulncheck looks for known vulnerabilities in what the program calls, with
// govulncheck, without asking any server but the module proxy: the vulnerability database
// is itself a Go module, and its pinned version is a snapshot.
//
//  1. The module with the snapshot is downloaded by the go command.
//  2. Its entries are laid out as govulncheck reads a database (database.go).
//  3. govulncheck runs over all packages against it. What the code calls in a module of
//     go.mod fails. What it calls in the standard library is told: the remedy is a newer
//     Go, which is the machine's and not the project's (report.go).
//
// With -live it asks the live database instead, which knows what was found since. It is
// run by `make vulncheck`, from the top of the project.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
)

const (
	tool     = "golang.org/x/vuln/cmd/govulncheck@v1.9.0"
	snapshot = "golang.org/x/vulndb@v0.0.0-20261105234957-e22db6528018" // of 5 November 2026
)

func main() {
	live := flag.Bool("live", false, "ask the live database")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := check(ctx, *live)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "vulncheck:", err)
		os.Exit(1)
	}
}

func check(ctx context.Context, live bool) error {
	args := []string{"run", tool}
	if !live {
		folder, err := database(ctx)
		if err != nil {
			return fmt.Errorf("make the database from %s: %w", snapshot, err)
		}
		args = append(args, "-db", "file://"+folder)
	}
	cmd := exec.CommandContext(ctx, "go", append(args, "-format", "json", "./...")...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return err
	}
	return report(os.Stdout, out)
}

// database lays the snapshot out below .cache and returns its folder.
func database(ctx context.Context) (string, error) {
	out, err := exec.CommandContext(ctx, "go", "mod", "download", "-json", snapshot).Output()
	if err != nil {
		return "", err
	}
	var module struct{ Dir, Error string }
	if err := json.Unmarshal(out, &module); err != nil {
		return "", err
	}
	if module.Error != "" {
		return "", errors.New(module.Error)
	}
	folder, err := filepath.Abs(filepath.Join(".cache", "vulndb"))
	if err != nil {
		return "", err
	}
	return folder, layOut(filepath.Join(module.Dir, "data", "osv"), folder)
}
