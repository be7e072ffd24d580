// Package explanation prints how a file was understood: every decision with its evidence, what
// is not taken, the first lines as they are read, and what only the user can settle; or all
// values of a file as they are read.
package explanation
