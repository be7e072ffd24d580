package dataset

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path"
	"sync"
	"time"

	"rimelog/pipeline/store"
)

// A Brief is an entry as every night asks for it: how an upload was read, without the
// evidence. An entry never changes, so briefs are kept below run/ by system and half-year,
// and a night decodes the entries of new uploads only. Nothing depends on what is kept: it may
// be deleted.
type Brief struct {
	// Entry has in its Decisions what planning and accounts ask for, and no more: columns,
	// notes, questions, what was refused. Uploads of one logger share them: the same text is
	// the same bytes, see [Brief.Decided].
	Entry
	// First and Last are what the upload's times lie between, microseconds since 1970: all
	// time where it does not say.
	First, Last int64
}

// Decided tells decisions apart without going through them; nil where there are none.
func (b Brief) Decided() *byte {
	if len(b.Decisions) == 0 {
		return nil
	}
	return &b.Decisions[0]
}

// briefs is the folder of what is kept.
const briefs = "run/briefs"

// briefing is the briefs that this Dataset knows.
type briefing struct {
	mu      sync.Mutex
	known   map[string]*briefed        // by reading, which no two uploads share
	kept    map[string][]string        // names of what is kept and not among the known, by system; nil: not listed yet
	changed map[shelf]bool             // what is not kept yet
	texts   map[string]json.RawMessage // decisions, each once
}

// A briefed is a brief, with where it is kept.
type briefed struct {
	Brief
	shelf shelf
	asked bool // in this run
}

func newBriefing() *briefing {
	return &briefing{known: map[string]*briefed{}, changed: map[shelf]bool{}, texts: map[string]json.RawMessage{}}
}

// Brief returns how an upload was read under a reading, if it was. The system is one of
// those it belongs to. What it returns is shared, and not to be changed.
func (d *Dataset) Brief(ctx context.Context, system, upload, reading string) (*Brief, bool, error) {
	b := d.briefing
	b.mu.Lock()
	defer b.mu.Unlock()
	one := b.of(upload, reading)
	if one == nil {
		if err := b.load(ctx, d.st, system); err != nil {
			return nil, false, err
		}
		one = b.of(upload, reading)
	}
	if one == nil {
		e, ok, err := d.Entry(ctx, upload, reading)
		if err != nil || !ok {
			return nil, false, err
		}
		one = b.put(briefOf(e), system)
		b.changed[one.shelf] = true
	}
	one.asked = true
	return &one.Brief, true, nil
}

// of is the brief of an upload under a reading, if it is known.
func (b *briefing) of(upload, reading string) *briefed {
	if one := b.known[reading]; one != nil && one.Upload == upload {
		return one
	}
	return nil
}

// shared is a text of decisions as it is known already.
func (b *briefing) shared(text json.RawMessage) json.RawMessage {
	known, ok := b.texts[string(text)]
	if !ok {
		b.texts[string(text)], known = text, text
	}
	return known
}

// put takes a brief; decisions that are known already are shared.
func (b *briefing) put(one Brief, system string) *briefed {
	one.Decisions = b.shared(one.Decisions)
	at := &briefed{Brief: one, shelf: shelfOf(system, one.Last)}
	b.known[one.Reading] = at
	return at
}

// load takes what is kept of a system and was not taken yet. What cannot be read is made
// anew, and what has another form is of no use any more.
func (b *briefing) load(ctx context.Context, st store.Store, system string) error {
	if b.kept == nil {
		if err := b.list(ctx, st); err != nil {
			return err
		}
	}
	names := b.kept[system]
	delete(b.kept, system)
	for _, name := range names {
		text, err := store.ReadAll(ctx, st, name)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if err != nil {
			continue
		}
		if b.take(system, text) != nil {
			if err := st.Remove(ctx, name); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			continue
		}
	}
	return nil
}

// list lists what is kept of all systems: at a store one list is cheaper than one of each.
func (b *briefing) list(ctx context.Context, st store.Store) error {
	infos, err := st.List(ctx, briefs)
	if err != nil {
		return fmt.Errorf("list kept briefs: %w", err)
	}
	b.kept = map[string][]string{}
	for _, i := range infos {
		system := path.Base(path.Dir(i.Name))
		b.kept[system] = append(b.kept[system], i.Name)
	}
	return nil
}

// KeepBriefs keeps what was found out since for the next run.
func (d *Dataset) KeepBriefs(ctx context.Context) error {
	b := d.briefing
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.changed) == 0 {
		return nil
	}
	shelves := map[shelf][]*briefed{}
	for _, one := range b.known {
		if one.asked && b.changed[one.shelf] {
			shelves[one.shelf] = append(shelves[one.shelf], one)
		}
	}
	for at, list := range shelves {
		if err := d.keep(ctx, at.name(), packed(list)); err != nil {
			return fmt.Errorf("keep briefs: %w", err)
		}
		delete(b.changed, at)
	}
	return d.Settle(ctx)
}

// keep makes or replaces a name. A first night makes many, which are staged.
func (d *Dataset) keep(ctx context.Context, name string, text []byte) error {
	err := d.stageName(ctx, name, store.Bytes(text))
	if errors.Is(err, store.ErrExists) {
		err = d.st.Put(ctx, name, store.Bytes(text))
	}
	return err
}

// decisions are those that planning and accounts ask for. The rest of what a reader
// decided, and on what evidence, stays in the entry.
type decisions struct {
	Unreadable string          `json:"unreadable,omitempty"`
	Remedy     string          `json:"remedy,omitempty"`
	Columns    []decided       `json:"columns"`
	Lines      json.RawMessage `json:"quarantined,omitempty"`
	Cells      json.RawMessage `json:"cells_without_value,omitempty"`
	Notes      json.RawMessage `json:"notes,omitempty"`
	Questions  json.RawMessage `json:"open_questions,omitempty"`
}

// A decided is what was decided of one column.
type decided struct {
	Name      string `json:"name"`
	Channel   string `json:"channel"`
	Unit      string `json:"unit"`
	Reference string `json:"pressure_reference,omitempty"`
	Refused   int64  `json:"refused"`
	Why       string `json:"refused_because,omitempty"`
}

// briefOf shortens an entry. Decisions of a form that nobody knows stay as they are.
func briefOf(e Entry) Brief {
	b := Brief{Entry: e, First: math.MinInt64, Last: math.MaxInt64}
	var all struct {
		decisions
		Time struct {
			First string `json:"first_utc"`
			Last  string `json:"last_utc"`
		} `json:"time"`
	}
	if json.Unmarshal(e.Decisions, &all) != nil {
		return b
	}
	from, errFrom := time.Parse(time.RFC3339Nano, all.Time.First)
	to, errTo := time.Parse(time.RFC3339Nano, all.Time.Last)
	if errFrom == nil && errTo == nil {
		b.First, b.Last = from.UnixMicro(), to.UnixMicro()
	}
	if text, err := json.Marshal(all.decisions); err == nil {
		b.Decisions = text
	}
	return b
}
