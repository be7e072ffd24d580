package dataset

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"strings"

	"rimelog/pipeline"
	"rimelog/pipeline/table"
)

// The folders of a workspace that belong to the dataset.
const (
	root    = "dataset"
	pages   = "report" // the pages of unit "report"
	staged  = root + "/staged"
	parts   = root + "/parts"
	ledger  = root + "/ledger"
	uploads = ledger + "/uploads"

	forgotten = ledger + "/forgotten"
	aside     = "run/damaged" // where repair puts what does not belong
)

// The units that have generations, besides SystemUnit's.
const (
	FleetUnit  = "fleet"
	ReportUnit = "report"
)

// SystemUnit names the unit of a system.
func SystemUnit(id string) string { return "systems/" + id }

// hash32 is half of a SHA-256 in hex: enough for names.
func hash32(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:16])
}

// stagedName is where a job's result waits. A job may make several files, so
// the path is part of the name.
func stagedName(fp pipeline.Fingerprint, filePath string) string {
	return staged + "/" + hash32(string(fp)+"\n"+filePath) + path.Ext(filePath)
}

func generationName(unit string, n int) string {
	return fmt.Sprintf("%s/%s/%06d.json", ledger, unit, n)
}

// uploadFolder is the ledger's folder of an upload. The member of an archive,
// whose own name may hold anything, is named by its hash.
func uploadFolder(upload string) string { return uploads + "/" + short(upload) }

func short(upload string) string {
	hash, member, inArchive := strings.Cut(upload, "+")
	hash = hash[:min(len(hash), 32)]
	if !inArchive {
		return hash
	}
	return hash + "+" + hash32(member)[:16]
}

func entryName(upload, reading string) string {
	return uploadFolder(upload) + "/" + reading[:min(len(reading), 32)] + ".json"
}

// partName is where the n-th system's rows of an upload lie, counted from 0.
func partName(e Entry, n int, t table.Table) string {
	return parts + "/" + short(e.Upload) + "-" + e.Reading[:min(len(e.Reading), 32)] + partEnding(n, t)
}

func partEnding(n int, t table.Table) string {
	ending := ".parquet"
	if t.Name != table.Samples().Name {
		ending = "." + t.Name + ending
	}
	if n > 0 {
		ending = fmt.Sprintf("+%d", n+1) + ending
	}
	return ending
}

// waitingName is where such rows wait until the upload has a name.
func waitingName(key string, n int, t table.Table) string {
	return staged + "/" + hash32("ahead\n"+key) + partEnding(n, t)
}
