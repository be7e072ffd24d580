// Package timeline tells the time of a file's lines.
//
//  1. Find finds the columns that tell the time by what their cells look like
//     (columns.go), also where a date stands in parts (parts.go).
//  2. A Plan says how they are told in UTC; who makes it knows the register.
//  3. A Timeline turns the cells of each line into UTC by it, line by line (timeline.go).
//     What stands around the time of day is kept, to read the next stamp of that shape
//     without parsing it (shape.go), and a line that gives another date or start is heard
//     (restart.go).
package timeline
