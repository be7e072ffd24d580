package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"io/fs"
	"strings"

	"rimelog/analysis"
	"rimelog/analysis/report"
	"rimelog/ingest"
	"rimelog/pipeline"
	"rimelog/pipeline/array"
	"rimelog/pipeline/dataset"
)

func planCommand() command {
	return command{
		name: "plan", short: "freezes the list of uploads and shares it out, for shards on many machines",
		long: `Lists and hashes the uploads, and puts the list with the shard of each upload and system into one
object below run/, balanced by size. Then an array scheduler starts, each when the one before is done,

  rimelog plan -workspace URL -shards 8
  rimelog ingest -workspace URL -shard i/8     for each i from 0 to 7: looks at uploads, reads them
  rimelog analyse -workspace URL -shard i/8    for each i: joins, windows, visits, energy, trends
  rimelog fleet -workspace URL                 once: ranks the fleet, compares, keeps the records
  rimelog report -workspace URL -shard i/8     for each i: pages; the one that is done last publishes

Any of them may be killed, run again, or run twice at once; the bytes are those of ` + "`rimelog run`" + `.
What arrives after the plan waits for the next one. A run that was planned keeps its plan;
without -run it is named by what is planned. ` + "`rimelog kit`" + ` has batch scripts and manifests.
0: go on; 1 or 4: trying again may help; 2: trying again does not help.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			w.flags(fs)
			shards := fs.Int("shards", 1, "make so many `shards`")
			var run string
			fs.StringVar(&run, "run", "", "a `name` for the run: letters, digits, dots, dashes; planning it again changes nothing")
			rehash := fs.Bool("rehash", false, "hash every upload again, whatever its size and time say")
			return func(ctx context.Context, out *console, _ []string) error {
				return w.locked(ctx, "plan", func(ws *workspace) error { return ws.plan(ctx, out, run, *shards, *rehash) })
			}
		},
	}
}

// plan freezes what is below uploads/ now.
func (ws *workspace) plan(ctx context.Context, out *console, run string, shards int, rehash bool) error {
	if err := ws.data.Recover(ctx); err != nil {
		return err
	}
	in := ws.ingest(stages{rehash: rehash})
	files, err := in.Survey(ctx)
	if err != nil {
		return err
	}
	uploads := make([]array.Upload, 0, len(files))
	for _, f := range files {
		uploads = append(uploads, array.Upload{
			ID: f.Upload, Path: f.Path, Member: f.Member, Size: f.Size, Lines: f.Lines, Modified: f.Modified.UTC(), Systems: in.Claimants(f),
		})
	}
	p, err := array.Freeze(ctx, ws.store, run, shards, ws.basis(), uploads)
	if err != nil {
		return err
	}
	if out.json {
		out.print(map[string]any{"run": p.Run, "shards": p.Shards, "uploads": len(p.Uploads)})
		return nil
	}
	fmt.Fprintf(out.out, "run %s: %d uploads for %d shards\n", p.Run, len(p.Uploads), p.Shards)
	return nil
}

// basis is what all shards of a run must have in common.
func (ws *workspace) basis() map[string]string {
	steps := []pipeline.Step{
		ingest.StepLook, ingest.StepRead, ingest.StepJoin, analysis.StepWindows, analysis.StepVisits, analysis.StepMeter, analysis.StepEnergy,
		analysis.StepJudge, analysis.StepRank, analysis.StepCompare, analysis.StepRecords, report.Page,
	}
	var versions []string
	for _, s := range steps {
		versions = append(versions, fmt.Sprintf("%s/%d", s.Name, s.Version))
	}
	return map[string]string{
		"steps": textHash(strings.Join(versions, " ")), "options": ws.hashOf(optionsFile), "register": ws.hashOf("register"), "rules": ws.hashOf("rules"),
	}
}

func textHash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:])
}

// hashOf hashes a file of the user's, or all files of a folder; empty where there is none.
func (ws *workspace) hashOf(name string) string {
	var b strings.Builder
	_ = fs.WalkDir(ws.files, name, func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil //nolint:nilerr // what is not there has no part in it
		}
		text, err := fs.ReadFile(ws.files, file)
		fmt.Fprintf(&b, "%s %x %v\n", file, sha256.Sum256(text), err)
		return nil
	})
	if b.Len() == 0 {
		return ""
	}
	return textHash(b.String())
}

// systemOf is the ID of a unit that is a system; other units as they are.
func systemOf(unit string) string { return strings.TrimPrefix(unit, dataset.SystemUnit("")) }
