// Package mixture evaluates the multi-fluid Helmholtz model of a mixture of
// refrigerants; a pure fluid is a mixture of one.
//
//	alphaR = sum x_i*alphaR_i(delta,tau) + sum x_i*x_j*F_ij*alphaR_ij(delta,tau)
//
// with delta = rho/rho_r(x) and tau = T_r(x)/T. The reducing functions and the
// form of the departure functions are those of GERG-2008 (Kunz & Wagner,
// J. Chem. Eng. Data 57:3032, 2012) and Lemmon & Jacobsen (J. Phys. Chem. Ref.
// Data 33:593, 2004).
//
// Opinions:
//
//   - The gas constant of a mixture is sum x_i*R_i, each R_i the one its pure
//     equation was fitted with (8.31451 ... 8.314472), so that every pure limit
//     is exact. The alternative, one modern constant, differs by at most 6e-6.
//   - The ideal part of each component is evaluated at the component's own
//     reducing state, as in its own paper.
//   - All derivatives are taken in molar concentrations c_i = rho*x_i. There
//     d(rho*alphaR)/dc_i is the logarithm of a fugacity coefficient plus ln Z, and
//     its second derivatives make one symmetric matrix, which Newton's method
//     for phase equilibrium needs.
//
// Units: K, mol/m3, Pa, J/mol.
package mixture
