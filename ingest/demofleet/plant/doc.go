// Package plant works out how a vapour-compression system runs at rest: the
// operating point that its compressor, coils, expansion device and charge settle
// at between a source and a sink.
//
//  1. Design sizes a plant so that a wanted operating point is exactly met, and
//     with it finds the charge.
//  2. Plant.Solve finds the point at other conditions, charge and faults: unknowns
//     (evaporating and condensing temperature, what leaves the condenser, and the
//     position of each evaporator's valve) that close as many balances (area of each
//     evaporator, condenser area, mass flow, mass in the system).
//
// Charge acts only through mass in volumes: how far it moves subcooling comes
// out of void fractions and liquid level, it is put in nowhere.
//
// What is simplified: liquid is taken at its saturation pressure; each zone of a
// coil meets the medium as it enters (cross-flow, medium not mixed); coils
// lose no pressure; a wet coil is a larger heat capacity flow of air; liquid that
// leaves an evaporator boils in the compressor's shell before it is drawn in; foreign gas
// adds its pressure in the condenser by Dalton's law and covers no surface there.
//
// Units: °C and K, kPa absolute, kJ/kg, kg/m³, kg/s, kW, m³. Their products fit
// (1 kPa m³ = 1 kJ).
package plant
