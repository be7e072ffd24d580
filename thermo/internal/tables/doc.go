// Package tables holds the published figures the property package is built
// on: equations of state of pure fluids, binary interaction parameters and
// departure functions.
//
// The figures are text, embedded, and parsed one fluid at a time when asked
// for, so that importing the package costs nothing. fluids.txt, pairs.txt and
// departures.txt are written by the gentable program; ATTRIBUTION.md names the
// papers and the collection they were read from.
package tables
