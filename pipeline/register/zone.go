package register

import (
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
