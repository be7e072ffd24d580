package merge

import "encoding/json"

// A Tally says, by upload, how many of its values another upload holds already,
// and of how many the other holds a different one.
type Tally map[string]Lost

// Lost is how many values were given in vain, and how many of them differ from the one kept.
type Lost struct {
	Values    int64 `json:"values"`
	Different int64 `json:"different,omitempty"`
}

// Add counts what an upload gave in vain.
func (t Tally) Add(upload string, n Lost) {
	l := t[upload]
	l.Values += n.Values
	l.Different += n.Different
	t[upload] = l
}

// TallyNote is the footer key that a joined table carries its tally under.
const TallyNote = "rimelog.tally"

// Notes are a footer's, of a joined table.
func (t Tally) Notes() map[string]string {
	if len(t) == 0 {
		return nil
	}
	b, err := json.Marshal(t) // keys in order
	if err != nil {
		panic("merge: " + err.Error()) // only types that cannot fail come here
	}
	return map[string]string{TallyNote: string(b)}
}
