// Package naming tells what the names of columns mean: it takes the unit and the number
// out of a header, and finds the channel that its words stand for, in eight languages.
// The words are in words.csv, the channels that sets of concepts mean in channels.csv,
// whole names of the trade in shortforms.csv. A name that may mean two things means none.
package naming
