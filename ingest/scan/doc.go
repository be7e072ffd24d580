// Package scan reads the bytes of one cell: where it ends and what is around it
// (cells.go), the number that it holds under some marks and what it proves about them
// (number.go), whether it stands for a missing value, yes or no (markers.go), and its
// words as the tables of words have them (words.go).
package scan
