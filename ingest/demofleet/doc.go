// Package demofleet writes what an invented fleet of refrigeration and air
// conditioning systems would upload: log files in the dialects of invented
// loggers, and the register that goes with them.
//
//  1. The world: sites in invented climates, each with systems of the kinds and
//     refrigerants that real fleets have.
//  2. A life for each system: leaks, fouling, cleaning and repair over the years,
//     most of them without any trouble.
//  3. Visits: the plant model (package plant) gives the operating point at that
//     day's weather, load, charge and faults; starts, hunting valves and noise
//     come on top, and the instruments' own errors.
//  4. The files: each logger has its own idea of a table.
//  5. The truth (package truth): what was really so.
//
// Everything follows from a seed: the same seed gives the same bytes on any day.
// No estimator of the analysis is used here; the two may only agree because both
// describe the same physics.
//
// What is simplified so far: besides what package plant says, dynamics are lags
// and a sine for a hunting valve laid over operating points at rest; defrosts
// and reversed operation do not occur; load acts through room temperature and
// compressor speed.
//
// The world is invented: places, firms and loggers exist nowhere else.
package demofleet
