package analysis

import (
	"slices"
	"sync"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
)

// recently is how many files are kept: three months for each of two workers. More workers
// read some of them again.
const recently = 6

// recent keeps the files of samples that were asked for last. A month is read for itself
// and for the months on either side of it, by jobs that follow each other.
type recent struct {
	mu    sync.Mutex
	files []recentFile // the one asked for last stands last
}

type recentFile struct {
	file    dataset.File
	columns []string
	rows    func() (*frame.Frame, error)
}

// read gives columns of a file; load is called where nobody asked for them of late.
func (r *recent) read(f dataset.File, columns []string, load func() (*frame.Frame, error)) (*frame.Frame, error) {
	rows, err := r.find(f, columns, load).rows()
	if err != nil {
		r.forget()
	}
	return rows, err
}

func (r *recent) find(f dataset.File, columns []string, load func() (*frame.Frame, error)) recentFile {
	r.mu.Lock()
	defer r.mu.Unlock()
	file := recentFile{f, columns, sync.OnceValues(load)}
	i := slices.IndexFunc(r.files, func(o recentFile) bool {
		return o.file.Path == f.Path && o.file.Fingerprint == f.Fingerprint && slices.Equal(o.columns, columns)
	})
	switch {
	case i >= 0:
		file = r.files[i]
		r.files = slices.Delete(r.files, i, i+1)
	case len(r.files) == recently:
		r.files = slices.Delete(r.files, 0, 1)
	}
	r.files = append(r.files, file)
	return file
}

// forget keeps nothing any more.
func (r *recent) forget() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.files = nil
}
