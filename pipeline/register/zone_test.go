package register

import (
	"testing"
	"time"
)

// A zone with other clock changes has another digest; the same rules under
// another name do not (Europe/Vienna and Europe/Berlin changed their clocks
// alike since 1980: IANA time zone database).
func TestZoneRulesTellZonesApart(t *testing.T) {
	rules := func(name string) string {
		zone, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		return zoneRules(zone)
	}
	berlin := rules("Europe/Berlin")
	if vienna := rules("Europe/Vienna"); vienna != berlin {
		t.Errorf("Vienna %s, Berlin %s: want the same rules", vienna, berlin)
	}
	for _, name := range []string{"Europe/London", "America/Chicago", "UTC"} {
		if rules(name) == berlin {
			t.Errorf("%s has the rules of Europe/Berlin", name)
		}
	}
}
