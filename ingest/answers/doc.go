// Package answers holds what the register and a file's name say about one upload: for each
// of its systems the zone, the altitude and the rows for its columns.
package answers
