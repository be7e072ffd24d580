package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"rimelog/pipeline/store"
)

// What may befall a night: each time the error is clear, nothing is lost, and the next run
// ends where an undisturbed one does, byte for byte.

// A full refuses writes, as a full or a read-only disk does.
type full struct {
	store.Store
	err error
}

func (f full) PutIfAbsent(context.Context, string, func(io.Writer) error) error { return f.err }
func (f full) Put(context.Context, string, func(io.Writer) error) error         { return f.err }
func (f full) Move(context.Context, string, string) error                       { return f.err }
func (f full) Remove(context.Context, string) error                             { return f.err }

func TestADiskThatTakesNothingMore(t *testing.T) {
	whole := newFleet(t, allUploads()...)
	mustRun(t, whole)
	for _, c := range []struct {
		what string
		err  error
	}{{"full", syscall.ENOSPC}, {"read-only", syscall.EROFS}} {
		names := allUploads()
		folder := newFleet(t, names[:2]...)
		mustRun(t, folder)
		before := results(t, folder)
		_, uploads := smallFleet()
		put(t, folder, only(uploads, names))
		_, err := night(t, folder, func(s store.Store) store.Store { return full{s, c.err} })
		if code, _ := outcome(t.Context(), err); code != exitFailed || !errors.Is(err, c.err) {
			t.Errorf("a %s disk: exit code %d, %v", c.what, code, err)
		}
		sameResults(t, "a "+c.what+" disk, before the rerun", results(t, folder), before)
		mustRun(t, folder)
		sameResults(t, "a "+c.what+" disk", timeless(t, folder), timeless(t, whole))
		verified(t, "a "+c.what+" disk", folder)
	}
}

// opening runs something when a name is opened for the given time: the first time it is
// hashed, then looked at and read.
func opening(s store.Store, name string, times int, do func()) store.Store {
	return &openedStore{Store: s, opened: func(opened string) {
		if opened != name {
			return
		}
		if times--; times == 0 {
			do()
		}
	}}
}

func TestAnUploadThatIsReplacedWhileItIsRead(t *testing.T) {
	name := allUploads()[0]
	_, uploads := smallFleet()
	old, later := uploads[name], uploads[name]+"# and a remark\n"
	whole := newFleet(t, allUploads()...)
	put(t, whole, map[string]string{name: later})
	mustRun(t, whole)
	for opened := 1; opened <= 3; opened++ {
		folder := newFleet(t, allUploads()...)
		put(t, folder, map[string]string{name: old})
		_, err := night(t, folder, func(s store.Store) store.Store {
			return opening(s, name, opened, func() { put(t, folder, map[string]string{name: later}) })
		})
		if err != nil {
			t.Errorf("replaced at look %d: %v", opened, err)
		}
		verified(t, "replaced while it was read", folder)
		mustRun(t, folder)
		tables := func(n string) bool {
			return strings.HasPrefix(n, "dataset/samples/") || strings.HasPrefix(n, "dataset/visits/")
		}
		sameResults(t, "replaced while it was read", hashes(t, folder, tables), hashes(t, whole, tables))
	}
}

// The clock is set back by a month: the night judges by that day, and the next by its own.
func TestAClockThatIsSetBack(t *testing.T) {
	folder, straight := newFleet(t, allUploads()...), newFleet(t, allUploads()...)
	on := func(folder string, day time.Time) {
		n := nightly{where: where{folder: folder, workers: 1}, log: "text"}
		var out, errOut bytes.Buffer
		err := n.run(t.Context(), &console{out: &out, err: &errOut}, func() time.Time { return day })
		if code, _ := outcome(t.Context(), err); code != exitDone && code != exitLeftOut {
			t.Fatalf("on %v: exit code %d, %v", day, code, err)
		}
	}
	day := time.Date(2025, 5, 1, 2, 0, 0, 0, time.UTC)
	on(straight, day)
	on(folder, day)
	on(folder, day.AddDate(0, -1, 0))
	verified(t, "a clock set back", folder)
	long := day.AddDate(-30, 0, 0) // and files are stamped long before those that were there
	name := allUploads()[0]
	if err := os.Chtimes(filepath.Join(folder, name), long, long); err != nil {
		t.Fatal(err)
	}
	on(folder, day)
	sameResults(t, "a clock set back and right again", timeless(t, folder), timeless(t, straight))
}

func TestTruncatedFiles(t *testing.T) {
	folder := newFleet(t, allUploads()...)
	mustRun(t, folder)
	want := timeless(t, folder)
	for _, pattern := range []string{"dataset/samples/*/*/data.parquet", "dataset/visits/*/data.parquet", "dataset/parts/*.parquet"} {
		files, _ := filepath.Glob(filepath.Join(folder, filepath.FromSlash(pattern)))
		if len(files) == 0 {
			t.Fatalf("nothing lies at %s", pattern)
		}
		if err := os.Truncate(files[0], 100); err != nil {
			t.Fatal(err)
		}
		name, _ := filepath.Rel(folder, files[0])
		var out, errOut bytes.Buffer
		if code := run(t.Context(), []string{"verify", "-repair", "-workspace", folder}, &out, &errOut); code == exitDone || !strings.Contains(out.String()+errOut.String(), filepath.ToSlash(name)) {
			t.Errorf("verify of a cut off %s: exit code %d\n%s%s", name, code, out.String(), errOut.String())
		}
		mustRun(t, folder)
		verified(t, pattern, folder)
		sameResults(t, "a cut off file at "+pattern, timeless(t, folder), want)
	}
}

// Parts that went are missed by whoever needs them: the windows of all months, once an event
// is entered. The next run reads the uploads again.
func TestPartsThatWentAreReadByTheNextRun(t *testing.T) {
	folder, straight := newFleet(t, allUploads()...), newFleet(t, allUploads()...)
	for _, f := range []string{folder, straight} {
		mustRun(t, f)
		events := filepath.Join(f, "register", "events.csv")
		text, err := os.ReadFile(events)
		if err != nil {
			t.Fatal(err)
		}
		header, rest, _ := strings.Cut(string(text), "\n")
		first, _, _ := strings.Cut(rest, "\n")
		year := strings.NewReplacer("2024-", "2019-", "2025-", "2019-")
		if err := os.WriteFile(events, []byte(header+"\n"+year.Replace(first)+"\n"+rest), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	parts, _ := filepath.Glob(filepath.Join(folder, "dataset", "parts", "*.parquet"))
	for _, part := range parts {
		if err := os.Remove(part); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := night(t, folder, nil); err == nil || !strings.Contains(err.Error(), "run again") {
		t.Fatalf("a run without the parts that it needs: %v", err)
	}
	mustRun(t, folder)
	mustRun(t, straight)
	sameResults(t, "parts that went", timeless(t, folder), timeless(t, straight))
	verified(t, "parts that went", folder)
}
