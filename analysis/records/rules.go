package records

import (
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

//go:embed rules/*.json
var embedded embed.FS

// Rules are all rule sets that are known, by ID. The zero value has none.
type Rules struct{ sets []RuleSet }

// Embedded returns the rule sets that come with the program.
func Embedded() (Rules, error) { return Rules{}.With(embedded, "rules") }

// With returns the rules with those of a folder's *.json files besides, each in the
// place of one that has its ID. A folder that is not there has none. The error names
// the file, and all that is wrong in it.
func (r Rules) With(fsys fs.FS, folder string) (Rules, error) {
	names, err := fs.Glob(fsys, path.Join(folder, "*.json"))
	if err != nil {
		return r, err
	}
	byID := map[string]RuleSet{}
	for _, s := range r.sets {
		byID[s.ID] = s
	}
	from := map[string]string{} // the file that has an ID
	for _, name := range names {
		b, err := fs.ReadFile(fsys, name)
		if err != nil {
			return r, err
		}
		s, err := ParseRuleSet(b)
		if err != nil {
			return r, fmt.Errorf("%s: %w", name, err)
		}
		if first := from[s.ID]; first != "" {
			return r, fmt.Errorf("%s: id %q is that of %s too; keep one of the two files", name, s.ID, first)
		}
		from[s.ID], byID[s.ID] = name, s
	}
	var out Rules
	for _, s := range byID {
		out.sets = append(out.sets, s)
	}
	slices.SortFunc(out.sets, func(a, b RuleSet) int { return cmp.Compare(a.ID, b.ID) })
	return out, nil
}

// Sets returns all rule sets, by ID.
func (r Rules) Sets() []RuleSet { return slices.Clone(r.sets) }

// On returns the rule sets in force in a jurisdiction on a day, by ID.
func (r Rules) On(jurisdiction string, day time.Time) (out []RuleSet) {
	for _, s := range r.sets {
		if jurisdiction != "" && s.holds(jurisdiction) && s.valid(day) {
			out = append(out, s)
		}
	}
	return out
}

// Key is text that changes when any rule set does, for fingerprints.
func (r Rules) Key() string {
	var b strings.Builder
	for _, s := range r.sets {
		b.WriteString(s.ID + " " + s.SHA256 + "\n")
	}
	return b.String()
}

// hash is the SHA-256 of text, as hex digits.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}
