// Package ingest reads what loggers wrote: any CSV, under the answers that the
// register gives, or a refusal with its reason and what would settle it.
//
//  1. Look takes a sample of a file (head, middle, tail) and decides on its body,
//     jointly: encoding, delimiter, header, columns of time, units, marks. It keeps
//     what the cells leave open.
//  2. Claim tells, in memory, which systems a file belongs to and what the register
//     answers about it: its reading.
//  3. Read takes every line in one pass. A cell that can only be read another way
//     starts the pass again under what it proved, at most once for each.
//  4. Join makes one row for each time of a system from all of its uploads.
//
// The opinion: a silent misreading is worse than a refusal. Gauge or absolute,
// the order of day and month, the decimal mark, the zone of the clock and the unit
// are never assumed; the file proves them, or the register says them, or the values
// wait with the line printed that settles them. Every line and every value is
// counted where it went.
package ingest
