package demofleet

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"rimelog/ingest/demofleet/truth"
)

// Simulate makes a fleet with its truth in a folder: the workspace in
// dir/workspace and the truth in dir/truth, where no analysis looks. A folder
// that holds this fleet already is left as it is; any other that is not empty is
// refused with a *FolderError.
func Simulate(ctx context.Context, dir string, o Options) (truth.Fleet, error) {
	return once(dir, o, func(o Options) (truth.Fleet, error) {
		w, err := truth.Create(filepath.Join(dir, "truth"))
		if err != nil {
			return truth.Fleet{}, err
		}
		put := func(name string, write func(io.Writer) error) error {
			return save(filepath.Join(dir, "workspace"), name, write)
		}
		fleet, err := Generate(ctx, o, put, w.File)
		return fleet, errors.Join(err, w.Close(fleet))
	})
}

// drawn is the truth of a fleet without its files.
func drawn(o Options) (truth.Fleet, error) {
	f, err := newFleet(o)
	if err != nil {
		return truth.Fleet{}, err
	}
	return f.truthOf(), nil
}
