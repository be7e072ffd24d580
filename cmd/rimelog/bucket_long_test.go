//go:build long

package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/local"
	"rimelog/pipeline/store"
	"rimelog/pipeline/store/bucket/s3test"
)

// A workspace in a bucket gives, through the same commits, the bytes that one in a folder
// gives; killed runs and a second writer leave no trace.
func TestWorkspaceInABucket(t *testing.T) {
	url := s3test.Start(t, "../../.cache/bin/versitygw")
	folder := newFleet(t, allUploads()...)
	fill(t, url, folder)
	for call := 20; call < 400; call += 120 {
		if _, err := bucketNight(t, url, store.Fault{Call: call, Moment: store.After, Kill: true}); err == nil {
			t.Fatalf("nobody was killed at call %d", call)
		}
	}
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"run", "-workspace", url}, &out, &errOut); code != exitLeftOut {
		t.Fatalf("run ended with %d: %s", code, errOut.String())
	}
	mustRun(t, folder)
	sameResults(t, "in a bucket", results(t, copied(t, url)), results(t, folder))
	out.Reset()
	if code := run(t.Context(), []string{"verify", "-workspace", url}, &out, &errOut); code != exitDone {
		t.Errorf("verify ended with %d: %s%s", code, out.String(), errOut.String())
	}
	if tally, err := bucketNight(t, url, store.Fault{}); err != nil || len(tally.Done) > 0 {
		t.Errorf("a rerun did %v, %v", tally.Done, err)
	}
}

func bucketNight(t *testing.T, url string, f store.Fault) (pipeline.Tally, error) {
	t.Helper()
	ws, err := openBucket(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	if f.Kill {
		files, err := store.FS(t.Context(), ws.store, []string{optionsFile}, "register", "rules")
		if err != nil {
			t.Fatal(err)
		}
		if ws, err = openFiles(t.Context(), url, files, store.NewFaulty(ws.store, f)); err != nil {
			t.Fatal(err)
		}
	}
	return ws.do(t.Context(), ws.ingest(everything), everything, time.Time{}, local.Runner{Workers: 2}, pipeline.Hooks{})
}

func TestBucketThatIsNotThere(t *testing.T) {
	url := s3test.Start(t, "../../.cache/bin/versitygw")
	var out, errOut bytes.Buffer
	code := run(t.Context(), []string{"run", "-workspace", "s3://nowhere" + strings.TrimPrefix(url, "s3://rime")}, &out, &errOut)
	if code != exitUsage || !strings.Contains(errOut.String(), "bucket") {
		t.Errorf("%d: %s", code, errOut.String())
	}
}
