package report

import "testing"

// However steady a log is, nothing is judged by pressures of an unknown refrigerant.
func TestALogOfAnUnknownRefrigerantIsShownOnly(t *testing.T) {
	s := visited(3, nil)
	if got := s.logUse(); got != "good enough to be judged." {
		t.Errorf("a known one: %q", got)
	}
	s.Register.RefrigerantName = ""
	if got := s.logUse(); got != "shown only, for its refrigerant is not known." {
		t.Errorf("an unknown one: %q", got)
	}
}
