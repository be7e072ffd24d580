// Package units reads unit labels as loggers print them and converts their
// decimal values exactly.
//
//  1. Parse takes a label ("bar(g)", "ºC", "kg/cm2 abs", a mangled "Â°C") and
//     says which unit it is, and for a pressure whether the label marks it as
//     gauge or absolute.
//  2. Unit.Conversion prepares the way from a mantissa with so many decimals to
//     steps of the canonical unit.
//  3. Conversion.Steps converts one mantissa: the exact rational value of the
//     digits, rounded half to even to the step. No floating point is involved.
//
// The package never guesses: a label it does not know is an error, and a
// pressure whose label does not mark its reference says so. A temperature
// difference has its own quantity and never gets an offset.
package units
