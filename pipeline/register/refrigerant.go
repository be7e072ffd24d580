package register

import (
	"errors"
	"strings"

	"rimelog/thermo"
)

// Refrigerant returns the system's refrigerant; false where it is unknown, so that
// nothing that rests on its properties can be judged.
func (s System) Refrigerant() (*thermo.Refrigerant, bool) {
	r, err := thermo.Lookup(s.RefrigerantName)
	return r, err == nil
}

// readRefrigerant returns the canonical name of a refrigerant.
func readRefrigerant(text string) (string, *fault) {
	r, err := thermo.Lookup(text)
	if err == nil {
		return r.Name(), nil
	}
	var unknown *thermo.UnknownError
	switch {
	case !errors.As(err, &unknown):
		return "", &fault{err.Error(), "write its number, such as R134a"}
	case unknown.Ambiguous:
		return "", &fault{"could mean several refrigerants", "write " + strings.Join(unknown.Nearest, " or ")}
	}
	return "", &fault{"not a refrigerant whose properties are known", "write its number; the nearest known are " + strings.Join(unknown.Nearest, ", ")}
}
