// Package report turns the results into pages that open from a disk.
//
//  1. The stage (stage.go) reads the tables into a Fleet and its Systems.
//  2. index.go, system.go and visits.go turn those into what a page says: sentences
//     first, figures behind them; method.go and equations.go say how all figures come
//     about; sheet.go is one stay for the customer, card.go what the next one needs;
//     quality.go and coverage.go say what the results rest on, changes.go what is new
//     since the report before, results.go the same for other programs.
//     unjudged.go says what is missing where nothing can
//     be judged, medium.go whose temperature the figures are compared by.
//  3. Package chart draws the figures as JSON; mark.go draws the small ones,
//     which need no script, as SVG.
//  4. page.go puts everything through the templates, into one HTML file each.
//
// The opinion: a page begins with what to do. Every figure has its interval, its
// number of visits and the day it goes back to; what cannot be judged is listed
// with the reason, beside what can. Doubt is shown in words and in lengths, never
// as a score. "Within noise" and "too short to judge a trend" are results.
//
// The signature of the pages is the wire: a line that stands for the machine's own
// reference, with each change growing from it like rime to windward. A bar that
// reaches the wire is within noise.
//
// Pages hold their style and script, a strict content security policy, and no
// address of any network. Only the chart engine is a file of its own beside them.
// Same input, same bytes.
package report
