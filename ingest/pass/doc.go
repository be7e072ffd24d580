// Package pass reads a file once, line by line, under one plan. Every line and every value
// is counted where it goes.
//
// Each line has its way: stretches of lines of one shape, read by column (stretch.go, shape.go);
// plain numbers in the shape of the line above (plain.go); plain numbers (Pass.scan); and
// everything else with care (careful.go): headers in mid-file (midheader.go), quotes over
// several lines (quotedline.go), dates between the lines (dateline.go), other tables
// (tables.go). Lines of text wait until what follows tells what they are (pending.go). A line
// whose cells are read is taken under its time (commit.go), unless it sums up others
// (summary.go). All must read alike.
//
// Values are converted and stored by column (take.go, output.go) and given on a page at a
// time; what is not taken is kept by runs with its reason (refusal.go). At the end the pass
// settles what the whole file says of its clock (settle.go), and either asks for another pass
// under what it found, or gives the reading.
package pass
