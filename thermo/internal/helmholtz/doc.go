// Package helmholtz evaluates the dimensionless Helmholtz energy of one pure
// fluid, the form in which every modern reference equation of state of a
// refrigerant is published.
//
// An equation is split as alpha(delta, tau) = alpha0 + alphaR with
// delta = rho/rhoRed and tau = Tred/T. Nearly every residual term is a product
// of one function of tau and one of delta, so the work is done in two steps:
//
//  1. Residual.AtTau evaluates the tau factors once per temperature.
//  2. Residual.Sum multiplies them by the delta factors, once per density.
//
// A density iteration at fixed temperature repeats only the second step.
//
// All derivatives are logarithmic, delta*d/d(delta) and tau*d/d(tau), because
// products and changes of variable are shortest in that form; Derivs says how
// they map to the derivatives printed in papers.
//
// Sources of the forms: Span, Multiparameter Equations of State (Springer,
// 2000), ch. 3; Lemmon & Jacobsen, J. Phys. Chem. Ref. Data 34:69 (2005) for
// R125; Gao, Wu, Bell & Lemmon, J. Phys. Chem. Ref. Data (2020) for R717; Span
// & Wagner, J. Phys. Chem. Ref. Data 25:1509 (1996) for the non-analytic terms.
package helmholtz
