// Package dataset keeps the tables on disk so that no reader ever sees a row
// twice or half a file, whenever a run is killed.
//
//  1. Stage: a job's result is written under a name made from what it is made
//     from ([Dataset.StageFrame], [Dataset.StageBytes]). Others see it, and the power may
//     go, once it is settled ([Dataset.Settle]): at the end of a round, and before a commit.
//  2. Commit: one ledger entry, put if absent, names every live file of a unit
//     with its fingerprint and hash ([Dataset.Commit]). This makes it true.
//  3. Publish: each staged file is moved onto the one name its partition has
//     ([Dataset.Publish]). A reader who globs the table sees the old file or the
//     new one, never both.
//
// A run starts with [Dataset.Recover], which finishes a publication that was
// cut off; whatever else a killed run left is used by the next, since the same
// inputs give the same names. [Dataset.Verify] checks all of it.
//
// Below dataset/:
//
//	TABLE/system=ID/month=YYYY-MM/data.parquet   a partition's one live file
//	TABLE/system=ID/data.parquet
//	TABLE/data.parquet
//	parts/UPLOAD-READING.parquet                 what one upload says under one reading
//	staged/FINGERPRINT.parquet                   results that wait for their commit
//	ledger/uploads/UPLOAD/facts.json             what the file is
//	ledger/uploads/UPLOAD/READING.json           how it was read
//	ledger/uploads/UPLOAD/forgotten.json         withdrawn by the user
//	ledger/forgotten/UPLOAD.json                 the same, for who asks for all that were
//	ledger/systems/ID/000001.json                generations of a system
//	ledger/fleet/000001.json                     generations of the fleet
//	ledger/report/000001.json                    generations of the report's pages
//
// Nothing here knows a clock, a host or a run: the same inputs give the same
// bytes. This is the only package that knows Parquet.
package dataset

import (
	"errors"
	"fmt"
	"sync"

	"github.com/klauspost/compress/zstd"

	"rimelog/pipeline/store"
)

// A Dataset is the tables, parts and ledger in a store. Its methods may be called
// at the same time.
type Dataset struct {
	st    store.Store
	codec *zstd.Encoder // shared by all files, since an encoder is dear to make
	made  sync.Map      // by name, the File of what was staged through this Dataset

	numbers  sync.Map // by unit, the number of its newest generation when it was asked for last
	decoded  sync.Map // by unit, the Generation that was read last
	briefing *briefing
}

// New returns the dataset of a workspace's store.
func New(st store.Store) *Dataset {
	return &Dataset{st: st, codec: newCodec(), briefing: newBriefing()}
}

// ErrOvertaken says that somebody else committed other content on the same
// generation. Nothing was changed: plan the unit again.
var ErrOvertaken = errors.New("another run committed this in the meantime; run again")

// A LostError says that a committed file is gone: it is not staged and its path
// does not hold it. Results are pure, so running the job again brings it back.
type LostError struct {
	Path string // where it should be, below the workspace
}

func (e *LostError) Error() string {
	return fmt.Sprintf("%s: the committed file is gone; run again to make it again", e.Path)
}

// A Corrupt is one thing that Verify found wrong.
type Corrupt struct {
	File    string // below the workspace
	Problem string
	Remedy  string
}

func (c Corrupt) Error() string { return c.File + ": " + c.Problem + "; " + c.Remedy }
