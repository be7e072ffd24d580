package say

import (
	"crypto/sha256"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/message/catalog"
)

// english is the language of the texts themselves: it has no file.
const english = "en"

//go:embed lang/*.json
var files embed.FS

// A Language is one file of the catalogue.
type Language struct {
	Tag string `json:"-"` // BCP 47, as the file is called

	Decimal string     `json:"decimal"` // the decimal mark
	Date    string     `json:"date"`    // of day, month and year
	Months  [12]string `json:"months"`

	Things map[string]map[string]string `json:"things"` // what is counted, by CLDR's plural forms
	Texts  map[string]string            `json:"texts"`  // of the pages, by the English text
	Tables map[string]string            `json:"tables"` // of the dataset's tables, by the English text

	Dictionary map[string]string `json:"dictionary"` // what tables and columns mean, by the English text of their tags

	digest  string // of the file
	printer *message.Printer
	tables  tables
}

// Languages are the languages that the catalogue has, English first.
func Languages() []string {
	out := []string{english}
	entries, err := files.ReadDir("lang")
	if err != nil {
		return out
	}
	for _, e := range entries {
		if tag, ok := strings.CutSuffix(e.Name(), ".json"); ok {
			out = append(out, tag)
		}
	}
	return out
}

// Load reads a language of the catalogue; nil for English and for an empty tag.
func Load(tag string) (*Language, error) {
	if tag == "" || tag == english {
		return nil, nil
	}
	if !slices.Contains(Languages(), tag) {
		return nil, fmt.Errorf("no language %q: want one of %s", tag, strings.Join(Languages(), ", "))
	}
	b, err := files.ReadFile("lang/" + tag + ".json")
	if err != nil {
		return nil, fmt.Errorf("language %s: %w", tag, err)
	}
	l := &Language{Tag: tag, digest: fmt.Sprintf("%x", sha256.Sum256(b))}
	if err := json.Unmarshal(b, l); err != nil {
		return nil, fmt.Errorf("language %s: %w", tag, err)
	}
	return l, l.build()
}

// build turns the file into the catalogue that messages are looked up in.
func (l *Language) build() error {
	tag, err := language.Parse(l.Tag)
	if err != nil {
		return fmt.Errorf("language %s: %w", l.Tag, err)
	}
	b := catalog.NewBuilder(catalog.Fallback(language.English))
	for key, text := range l.Texts {
		if err := b.SetString(tag, key, format(text)); err != nil {
			return fmt.Errorf("language %s: %q: %w", l.Tag, key, err)
		}
	}
	for thing, forms := range l.Things {
		if err := b.Set(tag, counted+thing, plural.Selectf(1, "%d", cases(forms)...)); err != nil {
			return fmt.Errorf("language %s: %q: %w", l.Tag, thing, err)
		}
	}
	l.printer = message.NewPrinter(tag, message.Catalog(b))
	l.tables = newTables(l.Tables)
	return nil
}

// counted keeps things apart from texts in the catalogue.
const counted = "count "

// cases are the plural forms in an order in which the last one fits everything.
func cases(forms map[string]string) (out []any) {
	for _, form := range []string{"zero", "one", "two", "few", "many", "other"} {
		if text, ok := forms[form]; ok {
			out = append(out, form, text)
		}
	}
	return out
}

// format writes the percent signs of a text without places as formats want them.
func format(text string) string {
	if hasPlaces(text) {
		return text
	}
	return strings.ReplaceAll(text, "%", "%%")
}

// hasPlaces tells whether a text has places for figures or names.
func hasPlaces(text string) bool { return place.MatchString(text) }

// text looks a text up; one that the file lacks stays English.
func (l *Language) text(key string, args []string) string {
	if _, ok := l.Texts[key]; !ok {
		return fmt.Sprintf(format(key), operands(args)...)
	}
	return l.printer.Sprintf(key, operands(args)...)
}

// count looks the form of a thing up that fits the number.
func (l *Language) count(n int, thing string) string {
	return l.printer.Sprintf(counted+thing, n, Locale{language: l}.Thousands(int64(n)))
}
