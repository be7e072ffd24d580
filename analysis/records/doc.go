// Package records keeps the books of refrigerant: what went into each system and
// came out, what it has to be checked for and when, what its records lack, and
// whether the kilograms agree with what the logs show.
//
//  1. Rule sets (ruleset.go, rules.go) are dated data in rules/*.json: which gases,
//     which classes of charge, which intervals, limits and bans. Nothing of a law is
//     written in code. A file of the user's with the same id takes the place of one
//     of ours.
//  2. A circuit (circuit.go) is one system with its record on a day: what it holds
//     and may hold (charge.go), what went in and out (book.go).
//  3. Each question has its file: due.go, repair.go and inspection.go say what is due,
//     suspicion.go what the logs recommend, rate.go and year.go what leaks, ban.go what
//     service may not use, gap.go and plausible.go what records lack, compare.go whether
//     kilograms and logs agree, stock.go and fleet.go what the fleet moved and lost.
//  4. Keep puts the answers into tables, with a trail of what each came from
//     (audit.go). calendar.go and bookfile.go write files for other programs.
//
// The opinion: this is guidance. The law, codes and the maker prevail, and only
// certified persons check or open a circuit. So every answer names its passage and
// whether its text was seen; a charge that is not exactly known stays a range, and
// where its ends give two answers, the stricter one is shown and the doubt with it. A
// leak rate is worked out from kilograms alone; what pressures and temperatures say is
// a presumption, which a direct check has to answer.
//
// Nothing here knows a disk or a clock. Days are calendar days by the site's clocks,
// written as midnight UTC.
package records
