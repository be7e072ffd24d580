package naming

import (
	"bufio"
	_ "embed" // the tables of words
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"rimelog/ingest/scan"
	"rimelog/pipeline/table"
	"rimelog/thermo/units"
)

//go:embed words.csv
var wordsCSV string

//go:embed channels.csv
var channelsCSV string

//go:embed shortforms.csv
var shortformsCSV string

var (
	concepts     = readWords(wordsCSV)
	languages    = readLanguages(wordsCSV)
	channelSets  = readChannels(channelsCSV)
	shortForms   = readShortForms(shortformsCSV)
	sampleTable  = table.Samples()
	quantityOf   = quantities(sampleTable)
	ownSpellings = ownNames(sampleTable)
)

// rows gives the fields of a table's lines that are not comments.
func rows(text string) (list [][]string) {
	for s := bufio.NewScanner(strings.NewReader(text)); s.Scan(); {
		if l := s.Text(); l != "" && l[0] != '#' {
			list = append(list, strings.Split(l, ","))
		}
	}
	return list
}

// readWords returns the concepts of each word. One word may mean different things
// in different languages: each meaning is kept.
func readWords(text string) map[string][]string {
	m := map[string][]string{}
	for _, r := range rows(text) {
		for _, w := range strings.Fields(r[2]) {
			if !slices.Contains(m[w], r[0]) {
				m[w] = append(m[w], r[0])
			}
		}
	}
	return m
}

// readLanguages returns the languages of each word.
func readLanguages(text string) map[string][]string {
	m := map[string][]string{}
	for _, r := range rows(text) {
		for _, w := range strings.Fields(r[2]) {
			if !slices.Contains(m[w], r[1]) {
				m[w] = append(m[w], r[1])
			}
		}
	}
	return m
}

// dayFirstLanguages are those whose short dates with points begin with the day and
// never with a year of two digits (Unicode CLDR 44, short date formats).
var dayFirstLanguages = []string{"de", "fr", "es", "it", "nl", "pt"}

// SpeaksDayFirst tells whether more words of the headers are of such a language alone
// than of English or Swedish alone.
func SpeaksDayFirst(titles []Title) bool {
	balance := 0
	for _, t := range titles {
		for _, w := range Words(t.Text) {
			known, dayFirst := languagesOf(w), 0
			for _, l := range known {
				if slices.Contains(dayFirstLanguages, l) {
					dayFirst++
				}
			}
			switch {
			case len(known) == 0:
			case dayFirst == len(known):
				balance++
			case dayFirst == 0 && !slices.Contains(known, "xx"):
				balance--
			}
		}
	}
	return balance > 0
}

// languagesOf gives the languages of a word or of a compound; none of a word that only
// says how a value was made, as any language borrows those.
func languagesOf(word string) []string {
	if slices.Contains(concepts[word], "noise") || slices.Contains(concepts[word], "other") {
		return nil
	}
	if list, ok := languages[word]; ok {
		return list
	}
	for i := len(word) - 3; i >= 3 && len(word) <= longestWord; i-- {
		if head, tail := languages[word[:i]], languages[word[i:]]; head != nil && tail != nil {
			return slices.Concat(head, tail)
		}
	}
	return nil
}

// readChannels returns the column of samples that a set of concepts means.
func readChannels(text string) map[string]string {
	m := map[string]string{}
	for _, r := range rows(text) {
		for _, set := range r[1:] {
			m[conceptKey(strings.Split(set, "+"))] = r[0]
		}
	}
	return m
}

// readShortForms returns the column of samples that a whole name means.
func readShortForms(text string) map[string]string {
	m := map[string]string{}
	for _, r := range rows(text) {
		for _, name := range strings.Fields(r[1]) {
			m[name] = r[0]
		}
	}
	return m
}

func conceptKey(set []string) string {
	s := slices.Clone(set)
	slices.Sort(s)
	return strings.Join(slices.Compact(s), "+")
}

// quantities gives the quantity of each column of samples.
func quantities(t table.Table) map[string]units.Quantity {
	m := map[string]units.Quantity{}
	for _, c := range t.Columns {
		if u, err := units.Parse(c.Unit); err == nil {
			m[c.Name] = u.Quantity
		}
	}
	return m
}

// QuantityOf is the quantity of a column of samples; none of one that has no unit.
func QuantityOf(column string) units.Quantity { return quantityOf[column] }

// ownNames finds our own columns, with and without the unit.
func ownNames(t table.Table) map[string]string {
	m := map[string]string{}
	for _, c := range t.Columns[1:] {
		m[strings.ReplaceAll(c.Name, "_", " ")] = c.Name
		m[strings.ReplaceAll(ShortName(c.Name), "_", " ")] = c.Name
	}
	return m
}

// ShortName is a column's name without its unit: the channel.
func ShortName(column string) string {
	for _, unit := range []string{"_kpa", "_c", "_pct", "_kwh", "_kw", "_m3_h", "_kg_s", "_a", "_v", "_hz"} {
		if s, ok := strings.CutSuffix(column, unit); ok {
			return s
		}
	}
	return column
}

// A Title is a column's header taken apart.
type Title struct {
	Text  string // as found
	Label string // the unit as found, or empty
	Name  string // the rest
	Index int    // a number at the end of the name, or 0
	Words []string
	plain bool // the unit stands behind a blank, so that an "in" before it may be no inlet
}

// Read takes the unit and the words out of a header: "Suction pressure [bar(g)]",
// "Sauggastemperatur (°C)", "T_suction/°C", "Suction temp, °F", "p_suction_bar".
func Read(text string) Title {
	t := Title{Text: text, Name: withoutSerial(strings.TrimSpace(text))}
	t.takeUnit()
	if t.Label == "" && len(t.Name) > 1 && IsUnit(t.Name) { // "kWh", "Amps"
		t.Label, t.Name = t.Name, ""
	}
	t.Words = t.takeIndex(Words(t.Name))
	return t
}

// serialWords begin what a logger says of its sensor behind a name, folded.
var serialWords = scan.WordSet("no nr num numero serial sn ser id")

// withoutSerial leaves out a sensor's serial number in brackets behind a name, with
// words that say nothing of the channel: "Suction temp [°C] (no. 100234, north)".
func withoutSerial(name string) string {
	if !strings.HasSuffix(name, ")") {
		return name
	}
	open := outerOpen(name)
	if open <= 0 {
		return name
	}
	words := Words(name[open+1 : len(name)-1])
	if len(words) < 2 || !serialWords[words[0]] || !scan.IsDigit(words[1][0]) {
		return name
	}
	for _, w := range words[2:] {
		if _, known := concepts[w]; known || len(Meanings(w)[0]) > 0 {
			return name
		}
	}
	return strings.TrimSpace(name[:open])
}

// takeIndex takes the numbers out of the words. One behind a word with a meaning
// ("compressor 2") counts the places; others only label the logger's channel.
func (t *Title) takeIndex(words []string) (rest []string) {
	for i, w := range words {
		n, err := strconv.Atoi(w)
		switch {
		case err != nil:
			rest = append(rest, w)
		case i > 0 && n > 0 && n < 100 && len(Meanings(words[i-1])[0]) > 0:
			t.Index = max(t.Index, n)
		}
	}
	return rest
}

// takeUnit cuts the unit off the name: what stands in brackets, or behind a sign or
// a blank at the end. Of several readings the longest unit is meant: in P/bar(a) it
// is bar(a), not the ampere.
func (t *Title) takeUnit() {
	s := t.Name
	for _, pair := range []string{"[]", "()", "{}", "<>"} {
		open, end := strings.LastIndexByte(s, pair[0]), strings.LastIndexByte(s, pair[1])
		if pair == "()" && open > 0 && end == len(s)-1 {
			open = outerOpen(s)
		}
		if open > 0 && end > open {
			label, name := s[open+1:end], s[:open]+" "+s[end+1:]
			t.consider(label, name)
			if unit, below := belowAir(label); below && IsUnit(unit) { // no unit that counts up: ask
				t.Name = strings.TrimSpace(name)
				return
			}
		}
	}
	t.beforeRemark(s)
	for _, sep := range []string{"/", ",", ":", "_", " "} {
		for i := strings.Index(s, sep); i >= 0; {
			if u := strings.TrimSpace(s[i+1:]); i > 0 && !closesBracket(u) && (len(u) > 1 || u == "%" || sep == "/" || sep == "," || fitsName(u, s[:i])) {
				t.consider(u, s[:i])
			}
			next := strings.Index(s[i+1:], sep)
			if next < 0 {
				break
			}
			i += 1 + next
		}
	}
}

// beforeRemark takes the unit before a remark of keys and values in brackets: "Temp, °F
// (no: 4, label: suction)".
func (t *Title) beforeRemark(s string) {
	if !strings.HasSuffix(s, ")") {
		return
	}
	open := outerOpen(s)
	if i := strings.LastIndexByte(s[:max(open, 0)], ','); i > 0 && strings.Contains(s[open:], ":") {
		t.consider(strings.TrimSpace(s[i+1:open]), s[:i]+" "+s[open+1:len(s)-1])
	}
}

// belowAir tells whether a label counts a vacuum downwards from the air: inHg vac.
func belowAir(label string) (unit string, below bool) {
	for _, s := range []string{"vacuum", "vac.", "vac"} {
		if unit, ok := strings.CutSuffix(strings.ToLower(label), s); ok {
			return strings.TrimSpace(unit), true
		}
	}
	return "", false
}

// closesBracket tells whether a text is the end of one in brackets: of [inHg vac].
func closesBracket(s string) bool {
	return strings.Count(s, ")") > strings.Count(s, "(") || strings.Count(s, "]") > strings.Count(s, "[")
}

// consider takes a label that is a unit, and longer than the one found before.
func (t *Title) consider(label, name string) {
	if len(label) > len(t.Label) && IsUnit(label) {
		t.Label, t.Name = label, strings.TrimSpace(name)
		t.plain = strings.HasSuffix(t.Text, " "+label)
	}
}

// outerOpen finds the bracket that the last one closes: in "P (bar(g))" the first.
func outerOpen(s string) int {
	depth := 0
	for i := len(s) - 1; i >= 0; i-- {
		switch s[i] {
		case ')':
			depth++
		case '(':
			if depth--; depth == 0 {
				return i
			}
		}
	}
	return -1
}

// IsUnit tells whether a text is a unit. None but 1/s and 1/min begins with a digit, as what
// is cut at the wrong mark often does.
func IsUnit(s string) bool {
	if s == "" || scan.IsDigit(s[0]) && s[0] != '1' {
		return false
	}
	_, err := units.Parse(s)
	return err == nil
}

// fitsName tells whether a lone letter behind a name can be its unit: in
// suction_temp_c it is, in phase_a it is not.
func fitsName(letter, name string) bool {
	u, err := units.Parse(letter)
	if err != nil {
		return false
	}
	concept := map[units.Quantity]string{
		units.Temperature: "temp", units.Power: "power", units.Current: "current", units.Voltage: "voltage",
	}[u.Quantity]
	rest := Title{Text: name}
	return concept != "" && rest.Has(concept)
}

// Words cuts a name into words: at blanks and signs, where small letters
// turn to capitals, and between letters and digits.
func Words(name string) []string {
	var b strings.Builder
	var before rune
	for _, r := range name {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			r = ' '
		case unicode.IsUpper(r) && unicode.IsLower(before), unicode.IsDigit(r) != unicode.IsDigit(before) && before != ' ' && before != 0:
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		before = r
	}
	return strings.Fields(scan.Fold(b.String()))
}

// Channel finds the column of samples that a header means. The reason says why,
// or why none was found.
func (t Title) Channel(q units.Quantity) (column, reason string) {
	if c, ok := ownSpellings[strings.Join(Words(t.Text), " ")]; ok {
		return c, "the header is the channel's own name"
	}
	if c, ok := ownSpellings[strings.Join(t.Words, " ")]; ok {
		return c, "the header is the channel's own name"
	}
	if c, ok := shortForms[strings.Join(Words(t.Name), "")]; ok && q == quantityOf[c] && q != units.None {
		return c, "the header is a short form of the trade"
	}
	column, reason = t.byConcepts(q)
	if n := len(t.Words); column == "" && t.plain && n > 1 && prepositions[t.Words[n-1]] { // "Leistung in kW"
		t.Words = t.Words[:n-1]
		return t.byConcepts(q)
	}
	return column, reason
}

// prepositions stand between a name and its unit in the eight languages, folded.
var prepositions = scan.WordSet("in en em i")

func (t Title) byConcepts(q units.Quantity) (column, reason string) {
	readings := [][]string{nil}
	for _, w := range t.Words {
		readings = extend(readings, Meanings(w))
	}
	if slices.ContainsFunc(t.Words, func(w string) bool { _, known := concepts[w]; return !known }) && len(readings[0]) == 0 {
		return "", "no channel has this name" // a label of the logger's: its unit alone says nothing
	}
	found := map[string]bool{}
	for _, set := range readings {
		for _, s := range withQuantity(set, q) {
			if c, ok := channelSets[conceptKey(s)]; ok && (q == units.None || quantityOf[c] == q) {
				found[c] = true
				column = c
			}
		}
	}
	switch len(found) {
	case 0:
		return "", "no channel has this name"
	case 1:
		if odd := t.unknownWord(); odd != "" {
			return "", fmt.Sprintf("it may be %s, but nobody knows what %q says of it", ShortName(column), odd)
		}
		return column, "the words of the header"
	}
	return "", "the header can mean several channels"
}

// unknownWord is a word of the header that no table knows. It can turn the meaning
// of the others, as in "injection suction temp"; labels with digits, and short
// ones, do not count.
func (t Title) unknownWord() string {
	for _, w := range t.Words {
		if len(w) < 4 || strings.ContainsAny(w, "0123456789") {
			continue
		}
		if _, ok := concepts[w]; !ok && len(Meanings(w)[0]) == 0 {
			return w
		}
	}
	return ""
}

// withQuantity adds what the unit says, where the name leaves it out.
func withQuantity(set []string, q units.Quantity) [][]string {
	sets := [][]string{set}
	switch q {
	case units.Temperature:
		sets = append(sets, append(slices.Clone(set), "temp"))
	case units.Pressure:
		sets = append(sets, append(slices.Clone(set), "press"))
	case units.Power, units.Energy, units.Current, units.Voltage:
		sets = append(sets, append(slices.Clone(set), q.String()))
	case units.Frequency:
		sets = append(sets, append(slices.Clone(set), "speed"))
	case units.VolumeFlow, units.MassFlow:
		sets = append(sets, append(slices.Clone(set), "flow"))
	}
	return sets
}

// extend multiplies the readings so far by the meanings of one more word.
func extend(readings, more [][]string) [][]string {
	if len(more) == 1 && len(more[0]) == 0 {
		return readings
	}
	var out [][]string
	for _, r := range readings {
		for _, m := range more {
			if len(out) < 64 {
				out = append(out, append(slices.Clone(r), m...))
			}
		}
	}
	return out
}

// longestWord is how many bytes a word with a meaning has at most.
const longestWord = 48

// Meanings gives the sets of concepts a word can stand for. A word that nobody
// knows, a label such as "T1" or a place, says nothing; a compound such as
// Sauggastemperatur is cut in two.
func Meanings(word string) [][]string {
	if list, ok := concepts[word]; ok {
		var sets [][]string
		for _, c := range list {
			switch c {
			case "noise", "gauge", "absolute":
				sets = append(sets, nil)
			default:
				sets = append(sets, strings.Split(c, "+"))
			}
		}
		return sets
	}
	for i := len(word) - 3; i >= 3 && len(word) <= longestWord; i-- {
		head, tail := word[:i], word[i:]
		if h, t := compound(head), compound(tail); h != nil && t != nil {
			return extend(h, t)
		}
	}
	if concept := map[byte]string{'t': "temp", 'p': "press"}[word[0]]; concept != "" && len(word) > 3 { // Tsuc, pdis
		if rest, ok := concepts[word[1:]]; ok && !slices.Contains(rest, "other") && !slices.Contains(rest, "noise") {
			return extend([][]string{{concept}}, Meanings(word[1:]))
		}
	}
	return [][]string{nil}
}

// compound is meanings for one half of a compound; nil for an unknown half.
func compound(part string) [][]string {
	for _, w := range []string{part, strings.TrimSuffix(part, "s"), strings.TrimSuffix(part, "n")} {
		if _, ok := concepts[w]; ok {
			return Meanings(w)
		}
	}
	for i := len(part) - 3; i >= 3; i-- {
		if _, ok := concepts[part[:i]]; ok {
			if t := compound(part[i:]); t != nil {
				return extend(Meanings(part[:i]), t)
			}
		}
	}
	return nil
}

// Has tells whether a header holds a word of a concept.
func (t Title) Has(concept string) bool {
	for _, w := range Words(t.Text) {
		for _, set := range append(Meanings(w), concepts[w]) {
			if slices.Contains(set, concept) {
				return true
			}
		}
	}
	return false
}

// Reference is what the header says a pressure is counted from.
func (t Title) Reference() units.Reference {
	switch g, a := t.Has("gauge"), t.Has("absolute"); {
	case g && !a:
		return units.Gauge
	case a && !g:
		return units.Absolute
	}
	return units.Unmarked
}

// IsWord tells whether a header is one word of a set.
func (t Title) IsWord(words map[string]bool) bool {
	return words[scan.Fold(t.Text)] || len(t.Words) == 1 && words[t.Words[0]]
}

// UnitNamed is the unit of a label, or none.
func UnitNamed(label string) units.Unit {
	u, err := units.Parse(label)
	if err != nil {
		return units.Unit{}
	}
	return u
}

// Some exports say beside each value how good it is. Which words head such a column is
// common practice, no source; folded.
var (
	qualityWords = scan.WordSet("quality qual validity qualitat gute gultigkeit qualite validite calidad validez qualita validita kwaliteit qualidade kvalitet")
	statusWords  = scan.WordSet("status flag flags statut estado stato merkmal")
)

// SaysQuality tells whether a column may say how good the values beside it are, and
// whether it surely does: a status can be the machine's.
func (t Title) SaysQuality() (may, sure bool) {
	w := Words(t.Text)
	if len(w) == 0 {
		return false, false
	}
	sure = qualityWords[w[len(w)-1]]
	return sure || statusWords[w[len(w)-1]], sure
}
