// Package demofleet writes what an invented fleet of refrigeration and air
// conditioning systems would upload: log files in the dialects of invented
// loggers, and the register that goes with them.
//
//  1. The world: sites in invented climates, each with systems of the kinds and
//     refrigerants that real fleets have.
//  2. A life for each system: leaks, fouling, cleaning and repair over the years,
//     most of them without any trouble, and changes that are no fault.
//  3. Visits: the plant model (package plant) gives the operating point at that
//     day's weather, load, charge and faults; starts, defrosts, hunting valves and
//     noise come on top, then the instruments' own errors and the mistakes of
//     those who log.
//     Where a logger stays, the thermostat lets the machine run for as long as the load
//     asks of it in its state; meters of power, energy and heat hang on it, with
//     mistakes of their own (metering.go), and the truth says what each day took and
//     gave, and would have taken had the latest fault not been put right.
//  4. The files: each logger has its own idea of a table, and exports differ.
//  5. The register, with the slips of those who keep it.
//  6. The truth (package truth): what was really so.
//
// A [Mix] says how often and how strongly all this happens; [Schema] prints it.
// [Write] makes the demo's workspace, [Simulate] any fleet with its truth,
// [Generate] hands out the files one by one: memory holds one file at most, and of
// plain logs only a piece.
//
// Everything follows from a seed: the same seed gives the same bytes on any day.
// No estimator of the analysis is used here; the two may only agree because both
// describe the same physics.
//
// Operating points are solved every few minutes of a record, each from the one
// before, and mixed evenly in between; that is within 0.02 K of a point solved
// there (a test holds it to that).
//
// What is simplified, besides what package plant says: starts and stops are lags,
// and days of energy count them as running at rest; load that a machine cannot carry is
// left undone;
// a hunting valve is a sine as wide as in a laboratory log; load acts through room
// temperature and compressor speed; a pack's load lies evenly on its evaporators, and
// its compressors are one that is as fast as all of them together; a compressor fits
// whatever refrigerant is filled in.
//
// The world is invented: places, firms and loggers exist nowhere else.
package demofleet
