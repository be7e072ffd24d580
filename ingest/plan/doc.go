// Package plan decides how a file is going to be read, before it is: on the sample's body,
// the register's answers and what earlier passes found out.
//
//  1. The layout is settled, and with it the names of columns (plan.go).
//  2. The time: columns, order of dates, zone, start (time.go, daymatrix.go).
//  3. The columns get their meaning, of a wide table (column.go) or a long one (long.go),
//     and pressures their reference (pressure.go). Columns with another clock, of other
//     devices or that say how good others are stand apart (tables.go, quality.go).
//  4. The marks in numbers (marks.go).
//
// What nobody but the user can settle becomes a question, and its values wait.
package plan
