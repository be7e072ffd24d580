package ingest

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
)

func zipped(t *testing.T, files map[string]string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range []string{"a.csv", "CR-02/b.csv", "__MACOSX/x", "notes.pdf", "bomb.csv"} {
		text, ok := files[name]
		if !ok {
			continue
		}
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func gzipped(t *testing.T, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestArchivesAreUnpacked(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01.zip", zipped(t, map[string]string{
		"a.csv": log(logtest.Noon, 60, 0), "CR-02/b.csv": log(logtest.Noon, 30, 0), "__MACOSX/x": "junk", "notes.pdf": "%PDF-1.7\n",
	}))
	w.write("uploads/CR-01/c.csv.gz", gzipped(t, log(logtest.Noon.Add(24*time.Hour), 20, 0)))
	w.run()
	if n := w.samples("CR-01", "2025-03").Rows(); n != 80 {
		t.Errorf("%d rows, want 60 of the zip archive and 20 of the gzip file", n)
	}
	if n := w.samples("CR-02", "2025-03").Rows(); n != 30 {
		t.Errorf("%d rows of the member in the other system's folder", n)
	}
	uploads, _ := w.account()
	var states []string
	for _, u := range uploads {
		states = append(states, u.Path+" "+u.Status)
	}
	want := "CR-01.zip/CR-02/b.csv read\nCR-01.zip/a.csv read\nCR-01.zip/notes.pdf unreadable\nCR-01/c.csv.gz read"
	if got := strings.Join(states, "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if again := w.run(); len(again.Done) != 0 {
		t.Errorf("a rerun did %v", again.Done)
	}
}

func TestArchivesThatAreBombsOrDamagedAreRefused(t *testing.T) {
	bomb := strings.Repeat("\n", 32<<20)
	w := newWorkspace(t)
	w.write("uploads/CR-01/bomb.zip", zipped(t, map[string]string{"bomb.csv": bomb}))
	w.write("uploads/CR-01/bomb.gz", gzipped(t, bomb))
	w.write("uploads/CR-01/cut.gz", gzipped(t, log(logtest.Noon, 600, 0))[:200])
	w.write("uploads/CR-01/cut.zip", zipped(t, map[string]string{"a.csv": log(logtest.Noon, 60, 0)})[:100])
	w.run()
	uploads, problems := w.account()
	for _, u := range uploads {
		if u.Status != statusUnreadable || !strings.Contains(u.Reason, "damaged") && !strings.Contains(u.Reason, "unpacks to more") {
			t.Errorf("%s is %s: %s", u.Path, u.Status, u.Reason)
		}
	}
	if len(uploads) != 4 || len(problems) != 4 {
		t.Errorf("%d uploads, %d problems", len(uploads), len(problems))
	}
}
