// Package clock reads what a logger's clock wrote.
//
//  1. ParseStamp takes a date, a time of day or both apart, before anybody decided
//     which number is the day.
//  2. OrderEvidence weighs over many stamps which number is: what cannot be, what
//     steps evenly, what a spreadsheet has swapped (swapped.go).
//  3. A ZoneClock turns local times into UTC by a ZoneRule, line by line: skipped
//     and doubled hours, clocks that do not switch, times named by their zone
//     (zonename.go).
package clock
