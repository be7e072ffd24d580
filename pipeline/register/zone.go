package register

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"time"
	_ "time/tzdata" // zone rules for machines that have none
)

// readZone returns a zone of the IANA time zone database by its name. Names that
// depend on the machine are refused.
func readZone(text string) (*time.Location, *fault) {
	machine := strings.HasPrefix(text, "posix/") || strings.HasPrefix(text, "right/")
	if text == "UTC" || strings.Contains(text, "/") && !machine {
		if zone, err := time.LoadLocation(text); err == nil {
			return zone, nil
		}
	}
	return nil, &fault{"not a zone of the IANA time zone database", "write area and city, such as Europe/Berlin or America/Chicago, or UTC"}
}

// rulesFrom and rulesTo bound the years whose clock changes logs may hold.
const rulesFrom, rulesTo = 1990, 2040

// zoneRules is a short digest of a zone's clock changes. The rules come from the
// machine where it has them; with the digest among what a reading is made from,
// a machine with newer rules reads again what they touch, and none mixes both.
func zoneRules(zone *time.Location) string {
	if zone == nil {
		return ""
	}
	h := sha256.New()
	end := time.Date(rulesTo, 1, 1, 0, 0, 0, 0, time.UTC)
	for at := time.Date(rulesFrom, 1, 1, 0, 0, 0, 0, zone); !at.IsZero() && at.Before(end); _, at = at.ZoneBounds() {
		_, offset := at.Zone()
		fmt.Fprintln(h, at.Unix(), offset)
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:8])
}
