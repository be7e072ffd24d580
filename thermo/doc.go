// Package thermo gives the properties of refrigerants from their reference
// equations of state, in pure Go, and the cycle arithmetic built on them.
//
//  1. Lookup finds a refrigerant by any common spelling of its name.
//  2. DewT, BubbleT, DewP, BubbleP give saturation; Superheat and Subcooling
//     are differences to it.
//  3. At, AtPH, AtPS, BubbleAt, DewAt and TwoPhaseAtPH give states; Cycle works
//     on states, CompressorMap on published polynomials.
//  4. Fast is the same from polynomials fitted once per refrigerant, for logs of
//     millions of rows: column calls, and Fast.Cycle for whole rows.
//
// Inside: tables holds the published figures, helmholtz evaluates one pure
// equation, mixture the multi-fluid model, equilibrium finds bubble and dew
// points and densities, piecewise fits the polynomials.
//
// To add a fluid, add its equation to the collection and run gentable, then a
// line to refrigerants.txt; to add a blend, only that line. The tests that go
// over all names check the rest.
//
// Opinions:
//
//   - Units are SI and absolute, with named types; conversion is the caller's.
//   - Superheat is counted from dew, subcooling from bubble temperature. They
//     differ for a blend with glide.
//   - Outside the range of an equation, or for a two-phase state asked as a
//     single phase, every call is an error (RangeError, SupercriticalError,
//     TwoPhaseError). Nothing is extrapolated, and no call returns NaN without
//     saying why.
//   - Every refrigerant says how good it is: Grade, Source, Range.
//   - Enthalpy and entropy have one documented datum (Datum); only their
//     differences mean anything.
//
// Importing the package costs nothing: equations are parsed and saturation
// lines traced at first use of a refrigerant, then shared.
//
// A figure from here is an aid to judgement, never a protection: pressure
// limits, flammable or toxic refrigerants and electrical safety belong to local
// codes, the supplier's data sheet and licensed persons.
package thermo
