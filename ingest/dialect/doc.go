// Package dialect finds out how a file is written, on a bounded sample of it.
//
//  1. Take takes the head, the middle and the tail of a file (sample.go), and puts the
//     lines together that a quote of the header spans (quotedheader.go).
//  2. Best cuts them into cells by the delimiter that makes the best table (dialect.go).
//
// KindOf tells what a cell looks like, for all who ask. A Strip is some of the columns.
package dialect
