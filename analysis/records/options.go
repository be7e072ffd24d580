package records

import (
	"errors"
	"fmt"
	"regexp"
)

// The methods of working out a leak rate.
const (
	MethodAnnualizing = "annualizing"
	MethodRolling     = "rolling"
)

// Options steer the bookkeeping of refrigerant. The zero value is the default.
type Options struct {
	Jurisdiction string `json:"jurisdiction" doc:"whose rules on refrigerants hold for systems whose row in systems.csv names no jurisdiction: two letters, or empty"`
	DueSoon      int    `json:"due_soon_days" doc:"something due within so many days is due soon"`
	Method       string `json:"leak_rate_method" doc:"annualizing or rolling: the method by which limits of leak rates are held"`
}

// DefaultOptions returns the options with every field at its default.
func DefaultOptions() (o Options) {
	o.EnsureDefaults()
	return o
}

// EnsureDefaults fills in what is not set.
func (o *Options) EnsureDefaults() {
	if o.DueSoon == 0 {
		o.DueSoon = 30
	}
	if o.Method == "" {
		o.Method = MethodAnnualizing
	}
}

var code = regexp.MustCompile(`^([A-Z]{2}(-[A-Z0-9]{1,3})?)?$`)

// Validate returns everything that is wrong with the options.
func (o Options) Validate() error {
	o.EnsureDefaults()
	var errs []error
	if !code.MatchString(o.Jurisdiction) {
		errs = append(errs, fmt.Errorf("records.jurisdiction %q: want two letters, such as DE, GB or US, or EU", o.Jurisdiction))
	}
	if o.DueSoon < 1 || o.DueSoon > 3660 {
		errs = append(errs, fmt.Errorf("records.due_soon_days %d: want 1 to 3660", o.DueSoon))
	}
	if o.Method != MethodAnnualizing && o.Method != MethodRolling {
		errs = append(errs, fmt.Errorf("records.leak_rate_method %q: want %s or %s", o.Method, MethodAnnualizing, MethodRolling))
	}
	return errors.Join(errs...)
}

// Key is text that changes when an option does, for fingerprints.
func (o Options) Key() string {
	o.EnsureDefaults()
	return fmt.Sprintf("%s %d %s", o.Jurisdiction, o.DueSoon, o.Method)
}
