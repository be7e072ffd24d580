package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
)

func openDir(t testing.TB) *Dir {
	t.Helper()
	d, err := OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func names(t testing.TB, s Store, folder string) []string {
	t.Helper()
	infos, err := s.List(context.Background(), folder)
	if err != nil {
		t.Fatal(err)
	}
	var n []string
	for _, i := range infos {
		n = append(n, i.Name)
	}
	return n
}

// temps lists what List hides.
func temps(t testing.TB, d *Dir) (found []string) {
	t.Helper()
	err := filepath.WalkDir(d.root, func(p string, e fs.DirEntry, err error) error {
		if strings.HasPrefix(e.Name(), tempPrefix) {
			found = append(found, p)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func TestDirKeepsBytesByName(t *testing.T) {
	d, ctx := openDir(t), t.Context()
	for _, err := range []error{
		d.PutIfAbsent(ctx, "a/b/c.txt", Bytes([]byte("one"))),
		d.PutIfAbsent(ctx, "a/b.txt", Bytes([]byte("two"))),
		d.Put(ctx, "a/b.txt", Bytes([]byte("three"))),
		d.Move(ctx, "a/b/c.txt", "z/y/x.txt"),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if got := names(t, d, "a"); !slices.Equal(got, []string{"a/b.txt"}) {
		t.Errorf("below a: %v", got)
	}
	if b, err := ReadAll(ctx, d, "a/b.txt"); err != nil || string(b) != "three" {
		t.Errorf("%q, %v", b, err)
	}
	r, size, err := d.ReaderAt(ctx, "z/y/x.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	part := make([]byte, 2)
	if _, err := r.ReadAt(part, 1); err != nil || string(part) != "ne" || size != 3 {
		t.Errorf("%q of %d, %v", part, size, err)
	}
	if info, err := d.Stat(ctx, "z/y/x.txt"); err != nil || info.Size != 3 || info.Name != "z/y/x.txt" {
		t.Errorf("%+v, %v", info, err)
	}
	if err := d.Remove(ctx, "z/y/x.txt"); err != nil {
		t.Error(err)
	}
	if got := names(t, d, "z"); got != nil {
		t.Errorf("left: %v", got)
	}
}

// A folder says at once what a list of all names says.
func TestFoldersBelowOne(t *testing.T) {
	d, ctx := openDir(t), t.Context()
	for _, n := range []string{"a/x/1", "a/x/2/3", "a/x+1/1", "a/y"} {
		if err := d.PutIfAbsent(ctx, n, Bytes(nil)); err != nil {
			t.Fatal(err)
		}
	}
	for _, s := range []Store{d, struct{ Store }{d}} {
		got, err := Folders(ctx, s, "a")
		slices.Sort(got)
		if want := []string{"x", "x+1"}; err != nil || !slices.Equal(got, want) {
			t.Errorf("%T: %v, %v, want %v", s, got, err, want)
		}
		if got, err := Folders(ctx, s, "none"); err != nil || got != nil {
			t.Errorf("%T: of no folder %v, %v", s, got, err)
		}
	}
}

func TestListSortsByWholeName(t *testing.T) {
	d, ctx := openDir(t), t.Context()
	for _, n := range []string{"a/x/1", "a/x-1", "a/x.1", "a/y"} {
		if err := d.PutIfAbsent(ctx, n, Bytes(nil)); err != nil {
			t.Fatal(err)
		}
	}
	if got := names(t, d, "a"); !slices.IsSorted(got) || len(got) != 4 {
		t.Errorf("%v", got)
	}
}

func TestPutIfAbsentKeepsTheFirst(t *testing.T) {
	d, ctx := openDir(t), t.Context()
	if err := d.PutIfAbsent(ctx, "n", Bytes([]byte("first"))); err != nil {
		t.Fatal(err)
	}
	if err := d.PutIfAbsent(ctx, "n", Bytes([]byte("second"))); !errors.Is(err, ErrExists) {
		t.Errorf("got %v, want ErrExists", err)
	}
	if b, _ := ReadAll(ctx, d, "n"); string(b) != "first" {
		t.Errorf("holds %q", b)
	}
}

func TestPutIfAbsentHasOneWinner(t *testing.T) {
	for name, link := range map[string]func(d *Dir) func(string, string) error{
		"hard link":              func(d *Dir) func(string, string) error { return d.link },
		"rename without replace": func(*Dir) func(string, string) error { return oneName(renameNoReplace) },
	} {
		t.Run(name, func(t *testing.T) {
			d := openDir(t)
			for k := range 100 {
				race(t, d, fmt.Sprintf("key-%d", k), link(d))
			}
			if left := temps(t, d); left != nil {
				t.Errorf("left: %v", left)
			}
		})
	}
}

// oneName gives the error that Dir.link gives.
func oneName(rename func(string, string) error) func(string, string) error {
	return func(from, to string) error {
		if err := rename(from, to); errors.Is(err, fs.ErrExist) {
			return ErrExists
		} else if err != nil {
			return err
		}
		return nil
	}
}

// race has several writers at one name: one wins, and its bytes are there whole.
func race(t *testing.T, d *Dir, name string, link func(string, string) error) {
	t.Helper()
	var wg sync.WaitGroup
	var winner atomic.Int64
	for w := range 8 {
		wg.Go(func() {
			text := strings.Repeat(string(rune('a'+w)), 10_000)
			err := d.write(filepath.Join(d.root, name), Bytes([]byte(text)), link)
			if err == nil && !winner.CompareAndSwap(0, int64('a'+w)) {
				t.Errorf("%s: two winners", name)
			}
			if err != nil && !errors.Is(err, ErrExists) {
				t.Errorf("%s: %v", name, err)
			}
		})
	}
	wg.Wait()
	b, err := ReadAll(t.Context(), d, name)
	if err != nil || winner.Load() == 0 || !bytes.Equal(b, bytes.Repeat([]byte{byte(winner.Load())}, 10_000)) {
		t.Errorf("%s: %d bytes of %q, winner %c, %v", name, len(b), b[:1], rune(winner.Load()), err)
	}
}

// TestWriteFailsAtEveryStep fails each step in turn, as a full disk, a missing
// permission or a dying device do: the name is absent or whole afterwards, no
// temporary file stays, and trying again succeeds.
func TestWriteFailsAtEveryStep(t *testing.T) {
	ops := map[string]func(d *Dir) error{
		"put if absent": func(d *Dir) error { return d.PutIfAbsent(t.Context(), "x/y/new", Bytes([]byte("whole"))) },
		"put":           func(d *Dir) error { return d.Put(t.Context(), "x/y/new", Bytes([]byte("whole"))) },
		"move":          func(d *Dir) error { return d.Move(t.Context(), "old", "x/y/new") },
		"move all": func(d *Dir) error {
			_, err := d.MoveAll(t.Context(), []Renaming{{"none", "x/z"}, {"old", "x/y/new"}})
			return err
		},
		"settle": func(d *Dir) error {
			err := d.Stage(t.Context(), "x/y/new", Bytes([]byte("whole")))
			return errors.Join(err, d.Settle(t.Context()))
		},
	}
	for op, do := range ops {
		for n := 1; ; n++ {
			d := openDir(t)
			if err := d.Put(t.Context(), "old", Bytes([]byte("whole"))); err != nil {
				t.Fatal(err)
			}
			steps := 0
			d.fault = func(step string) error {
				if steps++; steps == n {
					return fmt.Errorf("%s: %w", step, syscall.ENOSPC)
				}
				return nil
			}
			err := do(d)
			if steps < n {
				if err != nil || n < 5 {
					t.Fatalf("%s: without a fault: %v after %d steps", op, err, steps)
				}
				break
			}
			if !errors.Is(err, syscall.ENOSPC) {
				t.Errorf("%s, step %d: got %v, want no space left", op, n, err)
			}
			checkWhole(t, d, fmt.Sprintf("%s, step %d", op, n))
			d.fault = nil
			if err := do(d); err != nil && !errors.Is(err, ErrExists) && !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("%s, step %d: again: %v", op, n, err)
			}
			if b, err := ReadAll(t.Context(), d, "x/y/new"); err != nil || string(b) != "whole" {
				t.Errorf("%s, step %d: in the end %q, %v", op, n, b, err)
			}
		}
	}
}

// Many renames are as durable as one, by one sync of each folder that got a name.
func TestMoveAllSyncsEachFolderOnce(t *testing.T) {
	d := openDir(t)
	moves := []Renaming{{"a", "x/y/a"}, {"none", "x/y/none"}, {"b", "x/y/b"}, {"c", "x/z/c"}}
	for _, name := range []string{"a", "b", "c"} {
		if err := d.Put(t.Context(), name, Bytes([]byte(name))); err != nil {
			t.Fatal(err)
		}
	}
	var steps []string
	d.fault = func(step string) error {
		steps = append(steps, step)
		return nil
	}
	gone, err := d.MoveAll(t.Context(), moves)
	if err != nil || !slices.Equal(gone, moves[1:2]) {
		t.Errorf("gone %v, %v", gone, err)
	}
	want := "mkdir mkdir rename rename mkdir rename" + strings.Repeat(" sync folder", 4) // the root, x, x/y, x/z
	if got := strings.Join(steps, " "); got != want {
		t.Errorf("steps\n%s, want\n%s", got, want)
	}
	if got := names(t, d, "x"); !slices.Equal(got, []string{"x/y/a", "x/y/b", "x/z/c"}) {
		t.Errorf("moved: %v", got)
	}
}

func checkWhole(t *testing.T, d *Dir, when string) {
	t.Helper()
	b, err := ReadAll(t.Context(), d, "x/y/new")
	if err == nil && string(b) != "whole" || err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%s: holds %q, %v", when, b, err)
	}
	if left := temps(t, d); left != nil {
		t.Errorf("%s: left %v", when, left)
	}
}

func TestWriterErrorsCount(t *testing.T) {
	d, broken := openDir(t), errors.New("source broke")
	err := d.PutIfAbsent(t.Context(), "n", func(w io.Writer) error {
		_, err := w.Write(make([]byte, 100_000))
		return errors.Join(err, broken)
	})
	if !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
	if got := names(t, d, "n"); got != nil || temps(t, d) != nil {
		t.Errorf("left: %v %v", got, temps(t, d))
	}
}

func TestReadOnlyFolder(t *testing.T) {
	if os.Geteuid() == 0 {
		// The superuser may write anywhere; a file in the folder's place stands in.
		d := openDir(t)
		if err := d.Put(t.Context(), "x", Bytes(nil)); err != nil {
			t.Fatal(err)
		}
		if err := d.PutIfAbsent(t.Context(), "x/n", Bytes(nil)); err == nil {
			t.Error("wrote below a file")
		}
		return
	}
	d := openDir(t)
	if err := os.Mkdir(filepath.Join(d.root, "x"), 0o555); err != nil {
		t.Fatal(err)
	}
	if err := d.PutIfAbsent(t.Context(), "x/n", Bytes(nil)); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("got %v, want a permission error", err)
	}
}

func TestMissingNames(t *testing.T) {
	d, ctx := openDir(t), t.Context()
	_, errOpen := d.Open(ctx, "no/name")
	_, _, errAt := d.ReaderAt(ctx, "no/name")
	_, errStat := d.Stat(ctx, "no/name")
	for op, err := range map[string]error{
		"open": errOpen, "at": errAt, "stat": errStat,
		"move": d.Move(ctx, "no/name", "other"), "remove": d.Remove(ctx, "no/name"),
	} {
		if !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: got %v, want not exist", op, err)
		}
	}
	if got := names(t, d, "no"); got != nil {
		t.Errorf("list: %v", got)
	}
	if _, err := OpenDir(filepath.Join(d.root, "none")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("open of no folder: %v", err)
	}
}

func TestNamesStayBelowTheRoot(t *testing.T) {
	d := openDir(t)
	for _, n := range []string{"../out", "/etc/x", "a/../../x", "", ".", "a//b", "a/"} {
		if err := d.PutIfAbsent(t.Context(), n, Bytes(nil)); !errors.Is(err, fs.ErrInvalid) {
			t.Errorf("%q: got %v, want invalid", n, err)
		}
	}
}

func TestCancelledContext(t *testing.T) {
	d := openDir(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := d.Put(ctx, "n", Bytes(nil)); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

func TestSweepTakesTemporaryFilesOnly(t *testing.T) {
	d, ctx := openDir(t), t.Context()
	if err := d.Put(ctx, "a/b/keep", Bytes(nil)); err != nil {
		t.Fatal(err)
	}
	stale := filepath.Join(d.root, "a", "b", tempPrefix+"123")
	if err := os.WriteFile(stale, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := names(t, d, "a"); !slices.Equal(got, []string{"a/b/keep"}) {
		t.Errorf("a half-written file is listed: %v", got)
	}
	if err := d.Sweep(ctx, "a"); err != nil || temps(t, d) != nil {
		t.Errorf("left %v, %v", temps(t, d), err)
	}
	if got := names(t, d, "a"); !slices.Equal(got, []string{"a/b/keep"}) {
		t.Errorf("after the sweep: %v", got)
	}
}

func TestListFollowsLinkedFiles(t *testing.T) {
	d := openDir(t)
	target := filepath.Join(t.TempDir(), "logger.csv")
	if err := os.WriteFile(target, []byte("12345"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(d.root, "uploads"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, filepath.Join(d.root, "uploads", "link.csv")); err != nil {
		t.Fatal(err)
	}
	infos, err := d.List(t.Context(), "uploads")
	if err != nil || len(infos) != 1 || infos[0].Size != 5 || infos[0].Name != "uploads/link.csv" {
		t.Errorf("%+v, %v", infos, err)
	}
}

func TestLock(t *testing.T) {
	d := openDir(t)
	unlock, err := d.Lock("run on the test bench")
	if err != nil {
		t.Fatal(err)
	}
	var busy *BusyError
	if _, err := d.Lock("second"); !errors.As(err, &busy) || busy.Owner != "run on the test bench" || busy.Since.IsZero() {
		t.Errorf("got %v, want busy with owner and time", err)
	}
	if err := unlock(); err != nil {
		t.Fatal(err)
	}
	if unlock, err = d.Lock("third"); err != nil {
		t.Fatal(err)
	}
	if err := unlock(); err != nil {
		t.Error(err)
	}
}

// What a killed writer left is swept by the next run, whether it had the workspace alone or
// shared it; where nobody was killed, a sweep does not go through what is there.
func TestSweepFollowsAKill(t *testing.T) {
	for name, c := range map[string]struct {
		trace string // of who was killed
		stays bool
	}{"nobody": {"", true}, "one run": {"run/lock.owner", false}, "one of several": {"run/" + tempPrefix + "shared-1", false}} {
		d := openDir(t)
		for _, place := range []string{"dataset/" + tempPrefix + "1", c.trace} {
			path := filepath.Join(d.root, place)
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, nil, 0o644); place != "" && err != nil {
				t.Fatal(err)
			}
		}
		unlock, err := d.Lock("the run after")
		if err = errors.Join(err, d.Sweep(t.Context(), "dataset"), d.Sweep(t.Context(), "run")); err != nil {
			t.Fatal(err)
		}
		if _, err := os.Stat(filepath.Join(d.root, "dataset", tempPrefix+"1")); (err == nil) != c.stays {
			t.Errorf("after the kill of %s, the file stays: %t", name, err == nil)
		}
		if err := unlock(); err != nil {
			t.Error(err)
		}
	}
	d := openDir(t)
	for range 2 {
		share, err := d.Share()
		if err = errors.Join(err, share()); err != nil {
			t.Fatal(err)
		}
	}
	if unlock, err := d.Lock("alone"); err != nil || !d.clean || unlock() != nil {
		t.Errorf("after all who shared it ended: clean %t, %v", d.clean, err)
	}
}

func TestFaultyStrikesOneCall(t *testing.T) {
	for _, c := range []struct {
		moment  Moment
		kill    bool
		holds   []string
		wantErr error
	}{
		{Before, false, []string{"a", "c"}, syscall.ENOSPC},
		{During, false, []string{"a", "c"}, syscall.ENOSPC},
		{After, false, []string{"a", "b", "c"}, syscall.ENOSPC},
		{Before, true, []string{"a"}, ErrKilled},
		{During, true, []string{"a"}, ErrKilled},
		{After, true, []string{"a", "b"}, ErrKilled},
	} {
		d := openDir(t)
		f := NewFaulty(d, Fault{Call: 2, Moment: c.moment, Kill: c.kill, Err: syscall.ENOSPC})
		var errs []error
		for _, n := range []string{"a", "b", "c"} {
			errs = append(errs, f.PutIfAbsent(t.Context(), "n/"+n, Bytes([]byte("bytes"))))
		}
		if errs[0] != nil || !errors.Is(errs[1], c.wantErr) || (errs[2] != nil) != c.kill {
			t.Errorf("%+v: errors %v", c, errs)
		}
		var got []string
		for _, n := range names(t, d, "n") {
			got = append(got, strings.TrimPrefix(n, "n/"))
		}
		if !slices.Equal(got, c.holds) || f.Calls() != 3 {
			t.Errorf("%+v: holds %v after %d calls", c, got, f.Calls())
		}
	}
}
