// Package score says how good the analysis is, against the truth of an invented
// fleet. Every change to the analysis has to face it.
//
//  1. Read takes a folder of truth and a dataset; everything after it is a pure
//     function of rows.
//  2. The charge of each system is cut into courses: what lies between two
//     services that change the charge. A course's baseline is the charge at its
//     first usable stay, its loss what is gone since, as a share of the rated
//     charge.
//  3. Findings become alarms, and so do the verdicts of three naive rivals.
//  4. Compare holds alarms, windows and intervals against the truth.
//
// What counts:
//
//   - A usable stay is at least ten minutes in one day of a log of which pressures
//     and temperatures of suction and liquid line are there and unspoilt, while the
//     system truly ran as at rest. That is a matter of truth: an analysis that
//     calls a visit unusable gains no time by it.
//   - A leak alarm is a finding whose first cause is charge loss; those of one
//     system and course are one. It is decided on the day it was raised, whatever
//     became of it later. It is false where less than 2 % was lost on that day.
//   - Sensitivity at x % is the share of systems that lost more than x % in some
//     course (its first such course counts) and had the finding no later than the
//     first usable stay after; without such a stay, by the end of the course.
//     Systems that were missed count as missed. A course in which 2 % or more went
//     at once is no slow loss: it counts among the faults, as a sudden leak.
//   - Lost charge and days at detection are those of alarms that are not false; days
//     count from the onset of the leak, or from the latest top-up while it went on.
//   - Watched years run from a system's first log to its last. Of a rate per year each
//     is a trial: it has Wilson's interval, and the exact one of Clopper and Pearson. False
//     leak alarms have a rate for all years, and one for the years without a loss.
//   - The area under the ROC curve takes each system's strongest evidence of falling
//     subcooling (see evidence.go): of systems that slowly lost 5 % or more against
//     those that never lost 2 %.
//   - What is no leak (a change of instruments, of the setpoint, of the compressor or of a
//     flow, a winter, a top-up that stands in the register) is taken for one where a false
//     leak alarm was raised within the 120 days after. An alarm counts against the latest
//     of a kind only.
//   - Another fault counts once it is large enough to be worth a visit (see
//     fault.go), and is found where a finding names it while it lasts. It is found in
//     time where the finding is raised no later than the first usable stay at which its
//     true effect, against the same conditions without it, has passed a threshold: 3 K of
//     condenser difference, 2 K of evaporator difference, or 15 % of the capacity.
//   - Beside a coil found in time stand two oracles with the rate of false alarms of that kind of
//     finding. Who knows the healthy course has nothing against him but what sets of
//     instruments and visits err in the refrigerant's temperature. Who learns it has the
//     differences to the medium of all usable stays up to that day that logged it, knows how they err, but
//     neither where the machine stands nor how it follows outdoor temperature and the media;
//     what it strays from that by (loads) counts as scatter. Both know when the fault began and
//     how it grew, and the rest of the fleet teaches the second nothing.
//   - A cause is right where the finding names a fault that is there on that day,
//     wrong where others are there, unclear where it names none. A finding where
//     nothing is wrong is a false alarm and stands in the matrix only. A starved evaporator
//     names no single fault: it counts as unclear, and its probability as that of lost charge,
//     a restriction or a stuck valve being there. Nothing can stick in a fixed opening: where
//     the truth has it so, the blocked share of it counts as a restriction.
//   - Windows are those that may be judged, neither spots nor provisional. Precision
//     and recall count samples against the stretches in which the system truly ran
//     as at rest; bias is what windows of unspoilt logs show too much of superheat, but
//     for visits of which the analysis says itself that it is in doubt.
//   - Coverage is the share of visits whose interval of 95 % (1.96 standard
//     uncertainties) holds the true superheat or subcooling. The width ratio compares
//     it with an oracle that knows how the errors of each instrument class are
//     distributed: it would give each visit the 95 % quantile of their sizes.
//   - A data error is one rule of the trade's list in one log, as the quality table tells
//     of it; a wrong refrigerant is one of a system, and found where the true one is
//     among the candidates. A channel that truly was not logged is no error when it is
//     told of. Other instruments are others than those of the log before that can be read.
//     A flag on a log without any mistake is a false flag.
//   - By class: a mistakes that can be seen inside one visit, b only against the
//     machine's own history (so from its third log on), c that physics cannot tell apart.
//   - Leaks, causes, faults, mistakes, windows and coverage stand once more for parts of the fleet: by class of instruments, by
//     receiver or not as it truly is, by logs that stay or come with visits.
//   - Energy is held against the true days of permanent logs: what machines took and
//     gave by their operating points and the load. A seasonal COP is heat over
//     electricity of a half-year; seasons and machines are compared in common bins of
//     2 K of the day's outdoor temperature. What an event avoided is what the fault it
//     put right would have gone on costing, left as large as it was; the oracle fits a
//     parabola over outdoor temperature to what the meter counted before.
//   - Three naive rivals watch the same visits, decided day by day as well. Each is as
//     strict as it took on fleets of other seeds to give no more false alarms than
//     the analysis gives here, or one in 100 system-years if that is more; mkrivals.go
//     makes those fleets and counts.
//   - An oracle knows how each machine moves its gauges (subcooling, superheat, a logged
//     level) in that weather, with its other faults and for such a loss, and how sets of
//     instruments and visits err, but not what their errors are. Of every loss that counts it
//     makes one likelihood ratio test of all usable stays up to the deadline, with the chance
//     of a false alarm that the rivals' rate gives by then: what it finds nothing that looks
//     at these gauges can outdo, but by luck.
//   - The rate of loss must be known well after twelve usable stays (since the record began) at
//     a system that loses 10 % or more a year: its interval of 90 % stands by itself for those,
//     with and without a weighed addition that calibrates it, and those without an interval are
//     counted.
//   - Shares have Wilson's interval of 95 %, and the exact one of Clopper and Pearson, which
//     the table of leaks shows; where trials come in clusters
//     (instruments of one set, samples of one log) with their effective number
//     (robust.Clustered). n is the plain number.
//
// A figure that cannot be had, because nothing of its kind is in the tables or
// because there is no case of it, is null in JSON, with the reason under null_because,
// and a dash in text.
//
// Memory holds the rows of one system at a time, and of each what the figures need.
package score

// confidence of all intervals.
const confidence = 0.95
