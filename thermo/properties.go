package thermo

// Properties is what cycle arithmetic asks of a refrigerant. *Refrigerant
// answers from the equations, *Fast from polynomials fitted to them.
type Properties interface {
	DewT(Pascal) (Kelvin, error)
	BubbleT(Pascal) (Kelvin, error)
	DewP(Kelvin) (Pascal, error)
	BubbleP(Kelvin) (Pascal, error)
	At(Pascal, Kelvin) (State, error)
	// IsentropicEnthalpy is the enthalpy at a pressure of gas with a given
	// entropy.
	IsentropicEnthalpy(Pascal, JoulePerKgK) (JoulePerKg, error)
}

var (
	_ Properties = (*Refrigerant)(nil)
	_ Properties = (*Fast)(nil)
)

// IsentropicEnthalpy is the enthalpy at pressure p of gas with entropy s: the
// discharge of a compression without losses.
func (r *Refrigerant) IsentropicEnthalpy(p Pascal, s JoulePerKgK) (JoulePerKg, error) {
	state, err := r.AtPS(p, s)
	return state.Enthalpy, err
}
