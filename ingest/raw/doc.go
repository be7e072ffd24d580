// Package raw gives the lines of an upload, as bytes: it unpacks archives (archive.go)
// within bounds, finds out how characters are encoded (charset.go), and cuts what is
// decoded into physical lines (lines.go). It knows nothing of cells.
package raw
