// Package equilibrium finds bubble and dew points of a fluid of fixed bulk
// composition, and densities of a single phase.
//
//  1. Start makes a first point at low temperature, where the vapour is nearly
//     ideal and the liquid nearly indifferent to pressure.
//  2. Trace follows the bubble or dew line from there to the critical region
//     by Newton's method with a changing specification, keeping each point.
//  3. Line.AtT and Line.AtP interpolate a start between traced points and finish
//     with Newton's method, quadratically.
//
// Every point is therefore reached along the line from far below the critical
// point, and the trivial solution (two equal phases) cannot be mistaken for an
// answer: a trace ends before the phases become alike, and Newton's result is
// checked against it.
//
// The unknowns are the logarithms of the molar concentrations of the incipient
// phase, of the density of the bulk phase and of the temperature. Pressure is
// always taken from the vapour, because a cold liquid has no digits for it.
//
// Sources: Michelsen & Mollerup, Thermodynamic Models (2007), ch. 12, for the
// continuation (from memory); Bell & Deiters, AIChE J. 64:2745 (2018), for
// working in concentrations (from memory).
package equilibrium
