package ingest

import "testing"

// What one process found of the uploads that it reads another knows without the ledger; an
// excerpt that is cut short tells nothing.
func TestLearnsWhatAnotherFound(t *testing.T) {
	ours, gauge := found{upload: "ours"}, found{upload: "gauge"}
	a := &Stage{Share: Share{Reads: func(upload string) bool { return upload != "theirs" }}}
	for _, f := range []found{ours, gauge, {upload: "theirs"}} {
		a.claimed = append(a.claimed, claimed{found: f})
		a.seen.store(f.upload, seen{StepLook.String(), int64(len(f.upload)), f == gauge})
	}
	excerpt := a.Looked()
	var cut, b Stage
	cut.Learn(excerpt[:len(excerpt)-1])
	b.Learn(excerpt)
	for _, f := range []found{ours, gauge} {
		if k, ok, err := b.seenOf(t.Context(), f); err != nil || !ok || k != (seen{StepLook.String(), int64(len(f.upload)), f == gauge}) {
			t.Errorf("%s: %+v, %v, %v", f.upload, k, ok, err)
		}
		if _, ok := cut.seen.load(f.upload); ok {
			t.Errorf("%s was learnt from what was cut short", f.upload)
		}
	}
	if _, ok := b.seen.load("theirs"); ok {
		t.Error("it told of an upload of another shard")
	}
}
