// Package merge brings the rows of systems into order of time, in bounded memory.
//
//  1. A Sink takes the rows that are read: Parts writes them, Memory keeps them.
//  2. A Stream hands rows on as long as they come in order. Where they do not, a Shelf
//     keeps sorted runs, which Runs merges at the end. A Pile does so for tables
//     that stand below each other in one file.
//  3. Join brings several sources into one order, window by window: of two values for
//     one time that of the later source counts, and a Tally says what was given in vain.
package merge
