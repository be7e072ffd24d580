package dataset

import (
	"context"
	"encoding/json"
	"fmt"

	"rimelog/pipeline/store"
)

// The ledger also keeps what each group of people was told, so that nothing is told
// twice: ledger/digest/GROUP/000001.json and on.

func toldFolder(group string) string { return ledger + "/digest/" + group }

// Told reads into v what a group was told last, and returns the number of that entry; 0
// where it was told nothing yet.
func (d *Dataset) Told(ctx context.Context, group string, v any) (n int, err error) {
	infos, err := d.st.List(ctx, toldFolder(group))
	if err != nil || len(infos) == 0 {
		return 0, err
	}
	name := infos[len(infos)-1].Name
	if n, err = numberOf(name); err != nil {
		return 0, err
	}
	return n, d.getJSON(ctx, name, v)
}

// PutTold keeps what a group was told after entry n. Where somebody else told it in the
// meantime the error matches [store.ErrExists].
func (d *Dataset) PutTold(ctx context.Context, group string, n int, v any) error {
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return fmt.Errorf("what %s was told: %w", group, err)
	}
	return d.st.PutIfAbsent(ctx, fmt.Sprintf("%s/%06d.json", toldFolder(group), n+1), store.Bytes(append(b, '\n')))
}
