// Package thermo gives the properties of refrigerants from their reference
// equations of state, in pure Go, and the cycle arithmetic built on them.
//
//  1. Lookup finds a refrigerant by any common spelling of its name.
//  2. DewT, BubbleT, DewP, BubbleP give saturation; Superheat and Subcooling
//     are differences to it.
//  3. At, AtPH, AtPS, BubbleAt, DewAt give states; Cycle works on states.
//
// Opinions:
//
//   - Units are SI and absolute, with named types; conversion is the caller's.
//   - Superheat is counted from dew, subcooling from bubble temperature. They
//     differ for a blend with glide.
//   - Outside the range of an equation, or for a two-phase state asked as a
//     single phase, every call is an error (RangeError, SupercriticalError,
//     TwoPhaseError). Nothing is extrapolated and no NaN is returned.
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
