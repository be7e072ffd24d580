package register

import (
	"strings"

	"github.com/agnivade/levenshtein"

	"rimelog/pipeline/table"
)

// A vocabulary is the words a column may hold; their position is the value, and
// the first, for value 0, stands for unknown and is written as an empty cell.
type vocabulary []string

var (
	kindWords = vocabulary{"unknown", "air conditioning", "chiller", "cold room", "freezer room", "display cabinet",
		"air heat pump", "ground heat pump", "water heat pump", "pack", "other"}
	chargeWords    = vocabulary{"unknown", "known", "estimated"}
	expansionWords = vocabulary{"unknown", "thermostatic", "electronic", "capillary", "orifice", "flooded"}
	receiverWords  = vocabulary{"unknown", "none", "high side", "low side"}
	referenceWords = vocabulary{"unknown", "gauge", "absolute"}
	eventWords     = vocabulary{"unknown", "install", "retrofit", "charge added", "recovered", "direct leak check", "indirect leak check",
		"leak found", "repaired", "verification test", "coil cleaned", "part changed", "setpoint changed", "instrument calibration",
		"detection system check", "operator informed", "decommissioned", "cancelled"}
	qualityWords    = vocabulary{"unknown", "new", "recycled", "reclaimed"}
	instrumentWords = vocabulary{"unknown", "pressure", "temperature", "humidity", "flow", "power", "current", "voltage", "other"}
	reasonWords     = vocabulary{"unknown", "leak", "service", "season", "commissioning"}
	outcomeWords    = vocabulary{"unknown", "passed", "failed"}
	useWords        = vocabulary{"unknown", "commercial refrigeration", "industrial process", "comfort cooling", "transport", "other"}
	answerWords     = vocabulary{"unknown", "confirmed", "other cause", "nothing found"}
	limitWords      = vocabulary{"unknown", "least superheat", "least hot gas superheat", "most discharge temperature", "most pressure ratio", "least subcooling",
		"most valve opening", "most starts", "most room temperature"}
	stateWords = vocabulary{"unknown", "no", "yes"}
)

func (k Kind) String() string           { return kindWords[k] }
func (s ChargeSource) String() string   { return chargeWords[s] }
func (e Expansion) String() string      { return expansionWords[e] }
func (r Receiver) String() string       { return receiverWords[r] }
func (r Reference) String() string      { return referenceWords[r] }
func (k EventKind) String() string      { return eventWords[k] }
func (q Quality) String() string        { return qualityWords[q] }
func (r Reason) String() string         { return reasonWords[r] }
func (o Outcome) String() string        { return outcomeWords[o] }
func (u Use) String() string            { return useWords[u] }
func (o AnswerOutcome) String() string  { return answerWords[o] }
func (n LimitName) String() string      { return limitWords[n] }
func (k InstrumentKind) String() string { return instrumentWords[k] }

// Text is the word, or nothing for what is unknown.
func (q Quality) Text() string { return qualityWords.write(int(q)) }

// Text is the word, or nothing for what is unknown.
func (r Reason) Text() string { return reasonWords.write(int(r)) }

// Text is the word, or nothing for what is unknown.
func (o Outcome) Text() string { return outcomeWords.write(int(o)) }

// Text is the word, or nothing for what is unknown.
func (o AnswerOutcome) Text() string { return answerWords.write(int(o)) }

// read returns the value of a word, without regard to case, and with blank, hyphen
// and underscore alike.
func (v vocabulary) read(text string) (int, *fault) {
	want := normalName(text)
	for i, w := range v {
		if normalName(w) == want {
			return i, nil
		}
	}
	return 0, &fault{"not a word this column knows", "write " + v.nearest(text)}
}

// write returns the word of a value; unknown is empty.
func (v vocabulary) write(i int) string {
	if i == 0 {
		return ""
	}
	return v[i]
}

// nearest names the one word that is close to text, or else all of them.
func (v vocabulary) nearest(text string) string {
	if w := Nearest(normalName(text), v[1:]); w != "" {
		return w
	}
	return "one of " + strings.Join(v[1:], ", ") + "; or leave the cell empty"
}

// yesNo reads a state; spreadsheets like to turn yes into TRUE.
func yesNo(text string) (table.State, *fault) {
	switch strings.ToLower(text) {
	case "yes", "y", "true", "1":
		return table.Yes, nil
	case "no", "n", "false", "0":
		return table.No, nil
	case "unknown":
		return table.Unknown, nil
	}
	return table.Unknown, &fault{"neither yes nor no", "write yes or no, or leave the cell empty"}
}

// Nearest returns the candidate with the fewest edits from text, where that is few
// enough to be a slip of the pen: a third of its letters. Otherwise "".
func Nearest(text string, candidates []string) string {
	best, found := len(text)/3+1, ""
	for _, c := range candidates {
		if d := levenshtein.ComputeDistance(normalName(text), normalName(c)); d < best {
			best, found = d, c
		}
	}
	return found
}
