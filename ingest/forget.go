package ingest

import (
	"context"
	"fmt"

	"rimelog/pipeline/dataset"
)

// An UnknownUploadError says that no upload lies, or lay, at a path.
type UnknownUploadError struct{ Path string }

func (e *UnknownUploadError) Error() string {
	return fmt.Sprintf("%s: no upload lies or lay there; write its path below uploads/, as the table uploads has it", e.Path)
}

// Forget withdraws the upload at a path below uploads/, be it there or archived. The
// next run takes what it said out of the dataset; the file stays. It returns the
// upload's hash. The error is an *UnknownUploadError where there is none.
func (s *Stage) Forget(ctx context.Context, path string) (upload string, err error) {
	if err := s.survey(ctx, s.hash); err != nil {
		return "", err
	}
	for _, f := range s.files {
		if f.name() == path {
			upload = f.upload
		}
	}
	if upload == "" {
		if upload, err = s.archivedAt(ctx, path); err != nil {
			return "", err
		}
	}
	return upload, s.data.Forget(ctx, upload)
}

// archivedAt finds an upload that lay at a path and still counts.
func (s *Stage) archivedAt(ctx context.Context, path string) (string, error) {
	for _, sys := range s.register.Systems {
		g, err := s.data.Newest(ctx, dataset.SystemUnit(sys.ID))
		if err != nil {
			return "", err
		}
		for _, p := range g.Parts {
			if p.Path == path {
				return p.Upload, nil
			}
		}
	}
	return "", &UnknownUploadError{Path: path}
}
