// Package trust says which of the data of a visit cannot be believed, and why.
//
//  1. Rules lists the trade's mistakes D1 to D33: each a small rule with a name, a
//     class (how it can be seen), a signature and an action.
//  2. Screen goes over the samples before anything is derived from them: error codes
//     among the numbers, channels that stick, probes that fell off. What it finds is
//     taken out of the samples, with its span.
//  3. Look goes over one visit: the standstill before the hoses work, the means of
//     the running machine, and how its channels move together:
//     a probe on its pipe and a pressure behind an open valve swing with a valve that
//     hunts (dynamics.go), and a room that is pulled down falls beside its thermostat's
//     swing (pulldown.go).
//  4. Review goes over the visits of a system in time order: what only the machine's
//     own history can tell. A visit is judged from itself and those before it: what it
//     shows off them is weighed between chance, a machine that changed, each mistake and
//     two of them (weigh.go, explain.go); every set of instruments has a level of its own
//     (past.go), the outdoor air one by the season (season.go). What it shows at rest before the
//     start counts too (atrest.go), and so do the water that takes its heat and its speed, which
//     follow the weather. What all of them show on the median may belong to another
//     refrigerant (refrigerant.go).
//  5. A Presumer says after each visit which refrigerant the machine is judged by where the
//     register's does not fit (presume.go), and Restate works a visit out anew by it
//     (restate.go): change is judged that way, and nothing else.
//
// A rule speaks only when its signature is clear of what instruments and faults of
// the machine can do, and when no other rule explains the same thing: a false alarm
// about data costs more trust than a missed one. Nothing is corrected: a correction
// is proposed as the register's line to paste, and what is in doubt is hidden from
// everything that follows.
package trust
