// Package piecewise approximates smooth functions of one or two variables by
// polynomials on cells.
//
// A cell is fitted at Chebyshev points; where the last coefficients are too
// large for the tolerance it is halved, in the direction that needs it more.
// The polynomials are then written in powers of the local coordinate, and a
// table of equal bins finds the cell of an argument in one step, so an
// evaluation is an index and a Horner scheme.
//
// A function may have several channels (say enthalpy, entropy, density) that
// share the cells. Curves and patches are read-only once built and may be
// shared.
//
// Source of the idea of halving by coefficient decay: Bell & Alpert, Int. J.
// Thermophys. 42:75 (2021).
package piecewise
