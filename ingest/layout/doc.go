// Package layout finds where header and data stand in a file: which lines name the columns
// and their units (layout.go, bare.go for tables without a clock), and what the lines above
// say (preamble.go).
package layout
