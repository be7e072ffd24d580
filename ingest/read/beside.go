package read

import (
	"context"
	"fmt"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/limits"
	"rimelog/ingest/merge"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/understood"
)

// readBeside reads a file of tables side by side, once for each.
func readBeside(ctx context.Context, src raw.Source, a answers.Answers, o limits.Options, strips []dialect.Strip, to merge.Sink) (pass.Reading, error) {
	var passes []answers.Answers
	for _, b := range strips {
		a.Strip = b
		passes = append(passes, a)
	}
	why := understood.Evidence{Decision: "tables", Evidence: fmt.Sprintf("%d tables stand side by side, each with its own column of time", len(strips))}
	r, list, err := readPasses(ctx, src, passes, o, to, why)
	for _, one := range list[min(1, len(list)):] {
		r.Understanding.Time.Columns = append(r.Understanding.Time.Columns, one.Understanding.Time.Columns...)
	}
	return r, err
}
