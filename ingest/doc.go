// Package ingest reads what loggers wrote: any CSV, under the answers that the
// register gives, or a refusal with its reason and what would settle it. It is the stage
// that meets the dataset; a file itself is read by the packages below.
//
//  1. The files below uploads/ are listed and hashed (inventory.go, hash.go), and most of
//     them stand as they were the night before (standing.go, seen.go).
//  2. Look decides on a sample of a file what it is (package look), and keeps what the
//     cells leave open.
//  3. Claim tells which systems a file belongs to (package claim) and what the register
//     answers about it (package answers): its reading.
//  4. Read takes every line (package read) under a plan that rests on both (package plan),
//     a long file while it is hashed (ahead.go).
//  5. Join makes one row for each time of a system from all of its uploads (joinround.go)
//     and commits it.
//
// Account tells where every upload and every line went (account.go), and of two loggers
// whose clocks differ by how much (clockoffset.go); Share is a part of the work (share.go).
//
// The opinion: a silent misreading is worse than a refusal. Gauge or absolute,
// the order of day and month, the decimal mark, the zone of the clock and the unit
// are never assumed; the file proves them, or the register says them, or the values
// wait with the line printed that settles them. Every line and every value is
// counted where it went.
package ingest
