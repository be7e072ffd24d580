// Package read reads a file in as many passes as it takes.
//
//  1. A sample is taken, a plan made, and every line read in one pass. A cell that can only
//     be read another way starts the pass again under what it proved, at most once for each
//     (read.go).
//  2. Where other rows of the register hold from some time on, each stretch of time is read
//     for itself (windows.go), and so are tables side by side (beside.go) and below each
//     other (stacked.go); their readings are joined.
//  3. The starts of the compressor are noted on the way (starts.go).
package read
