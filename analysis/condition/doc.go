// Package condition tells how a settled machine stood at a visit, against its limits.
//
//  1. Limits takes the limits that hold on a day: the user's own, or generic ones.
//  2. A Stretch is watched sample by sample, starts and defrosts left out (Watch): how
//     long, and how long in a row, each limit was passed.
//  3. Of puts together what was watched with the visits it belongs to.
//
// What a condition comes to, a finding or nothing, is package drift's.
package condition
