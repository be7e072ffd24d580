// Package corpustest makes logger files with exact truth, and scores the reader
// on them.
//
//  1. Recipes crosses the ways in which loggers differ: every pair of ways that
//     can meet in one file does, as far as the count of files allows.
//  2. Make writes the file of a recipe, with what it holds: UTC times, values in
//     steps of their columns, and whether file and register settle it at all.
//  3. Score compares a reading with that truth: right, refused or silently wrong.
//
// The truth is worked out here from exact rational numbers and tables of this
// package, never by the code under test. The loggers are invented. That loggers
// differ in these ways is common practice, no source.
package corpustest
