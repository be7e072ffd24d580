package raw

import (
	"strings"
)

// shown is how many bytes of a line or cell are shown to people.
const shown = 200

// Show gives the beginning of a text, for people.
func Show(text []byte) string {
	return strings.ToValidUTF8(string(text[:min(len(text), shown)]), "�")
}
