// Package analysis wires the steps that turn samples into findings to a
// workspace. The work is in its parts: cycle derives values, steady finds windows
// and visits, trust says which data cannot be believed, drift finds slow change,
// energy compares what systems use with what they give; they know no disk.
//
//  1. windows: samples of a month and of a day on either side -> windows, and what
//     the rules about data say of each stay.
//  2. visits: windows of all months and events -> visits, less what is in doubt.
//  3. meter: samples and windows of a month -> energy by window and by hour; energy:
//     those of all months, events and tariffs -> days, seasons, savings, losses.
//  4. judge: visits and events -> trends; then each system is committed. Visits that the
//     register's refrigerant does not fit are worked out by one that does (presumed.go).
//  5. rank: trends of all systems, as of a day -> findings, uploads, quality; compare:
//     seasons of all systems -> their ranking; then the fleet is committed.
//  6. records: the register's systems and events, the findings and the rule sets -> the
//     books of refrigerant, committed to the fleet.
//
// One month of one system is in memory at a time for each worker. Nothing here
// asks the clock: the day on which findings are judged is given, or is the day of
// the newest sample or event.
package analysis
