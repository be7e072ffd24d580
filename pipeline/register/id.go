package register

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

const maxID = 64

var (
	validID = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9._-]{0,63}$`)
	// Names that Windows keeps for devices, whatever follows after a dot.
	deviceName = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)
	notID      = regexp.MustCompile(`[^A-Za-z0-9._]+`)
)

// CheckID returns nil for a text that may be the ID of a system: a letter, then up
// to 63 of A-Z a-z 0-9 . _ -, with no dot at the end and no Windows device name.
// An ID becomes the name of folders, so nothing else will do. The error says what
// is wrong and proposes an ID.
func CheckID(id string) error {
	if problem := idProblem(id); problem != "" {
		return fmt.Errorf("system ID %q: %s; write %s", id, problem, proposeID(id))
	}
	return nil
}

func idProblem(id string) string {
	switch {
	case id == "":
		return "empty"
	case deviceName.MatchString(id):
		return "a name that Windows keeps for a device"
	case strings.HasSuffix(id, "."):
		return "ends with a dot"
	case len(id) > maxID:
		return fmt.Sprintf("longer than %d characters", maxID)
	case !validID.MatchString(id):
		return "an ID is a letter, then letters without accents, digits, and . _ -"
	}
	return ""
}

// proposeID returns a valid ID that looks like a text.
func proposeID(text string) string {
	plain, _, _ := transform.String(transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC), text)
	id := strings.Trim(notID.ReplaceAllString(plain, "-"), "-._")
	switch {
	case id == "":
		return "system-1"
	case !validID.MatchString(id[:1]), deviceName.MatchString(id):
		id = "S-" + id
	}
	if len(id) > maxID {
		id = id[:maxID]
	}
	return strings.TrimRight(id, "-._")
}

// foldID makes IDs that differ in case only equal.
func foldID(id string) string { return strings.ToLower(id) }
