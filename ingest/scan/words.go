package scan

import "strings"

// FoldWord brings a word to the form of the tables: lower case, no accents, no points.
func FoldWord(w string) string { return strings.ReplaceAll(Fold(w), ".", "") }

// Fold lowers a text and takes its accents off.
func Fold(s string) string {
	if IsASCII([]byte(s)) {
		return strings.ToLower(s)
	}
	return accents.Replace(strings.ToLower(s))
}

var accents = strings.NewReplacer(
	"ä", "a", "á", "a", "à", "a", "â", "a", "ã", "a", "å", "a", "ç", "c", "é", "e", "è", "e", "ê", "e", "ë", "e",
	"í", "i", "ì", "i", "î", "i", "ï", "i", "ñ", "n", "ö", "o", "ó", "o", "ò", "o", "ô", "o", "õ", "o",
	"ü", "u", "ú", "u", "ù", "u", "û", "u", "ß", "ss", "œ", "oe", "æ", "ae", "ø", "o",
)

// WordSet is the words of a list that blanks part.
func WordSet(list string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(list) {
		m[w] = true
	}
	return m
}
