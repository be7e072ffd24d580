// Package limits says how much of a file is taken at most: the section of ingest in the
// options file.
package limits
