package corpustest

import (
	"fmt"
	"math/rand/v2"
	"sort"
	"strings"
)

// A Recipe gives the level of every dimension in which loggers differ.
type Recipe map[string]string

// A dimension is one way in which loggers differ; the first level is the plain one.
type dimension struct {
	group  int // 0 where it belongs to several
	name   string
	levels []string
}

// Groups names the groups of ways in which loggers differ.
var Groups = [31]string{
	0: "(every file)", 1: "encoding", 2: "line ends", 3: "cut or filled end", 4: "sep line, joined files", 5: "status lines, lost fields",
	6: "delimiter", 7: "decimal mark", 8: "thousands mark", 9: "quotes", 10: "delimiter at the end", 11: "forms of numbers",
	12: "header rows", 13: "preamble", 14: "units", 15: "pressure reference", 16: "names", 17: "zone or serial in a name",
	18: "date and time columns", 19: "date order", 20: "12-hour clock, fractions", 21: "serial, epoch, elapsed", 22: "clock changes, zone",
	23: "averages", 24: "sequence of times", 25: "missing markers", 26: "footer", 27: "layout", 28: "states, events, comments",
	29: "rates", 30: "container",
}

var dimensions = []dimension{
	{0, "language", []string{"en", "de", "fr", "es", "it", "nl", "pt", "sv"}},
	{0, "answers", []string{"given", "none"}},
	{0, "length", []string{"short", "long"}},
	{0, "unit system", []string{"bar", "kpa", "psi", "mpa", "kgcm2", "kelvin"}},
	{1, "encoding", []string{"utf-8", "utf-8 mark", "utf-16le mark", "utf-16le", "utf-16be mark", "windows-1252", "cp850", "cp437", "windows-1250", "encoded twice", "utf-16be", "utf-32le mark", "macintosh", "iso-8859-15"}},
	{2, "line ends", []string{"LF", "CRLF", "CR", "mixed", "CR CR LF", "blank lines"}},
	{3, "end", []string{"line end", "no line end", "cut", "NUL padding", "FF padding", "NUL line"}},
	{4, "joints", []string{"none", "sep line", "mark in the middle"}},
	{5, "disturbance", []string{"none", "status lines", "lost field"}},
	{6, "delimiter", []string{";", ",", "tab", "|", "blanks", ", "}},
	{7, "decimal mark", []string{"point", "comma", "comma unquoted", "open", "Arabic"}},
	{8, "thousands", []string{"none", "other mark", "blank", "no-break", "narrow", "apostrophe", "thin"}},
	{9, "quotes", []string{"none", "header", "all", "doubled", "inch"}},
	{10, "trailing", []string{"none", "data", "header", "both", "three columns"}},
	{11, "numbers", []string{"plain", "padded", "plus", "minus sign", "bare point", "point behind", "exponent", "negative zero"}},
	{12, "header", []string{"names", "none", "units below", "units and processing", "groups", "line breaks", "units and pattern"}},
	{13, "preamble", []string{"none", "colon", "equals", "hash", "delimiter", "tab", "long", "blank below"}},
	{14, "unit place", []string{"brackets", "parentheses", "slash", "comma", "suffix", "preamble", "cell", "missing"}},
	{15, "reference", []string{"unit", "header", "preamble", "nowhere", "below zero"}},
	{16, "names", []string{"unique", "duplicate", "empty", "changed order", "repeated"}},
	{17, "name holds", []string{"name", "zone", "serial"}},
	{18, "time columns", []string{"one", "two", "date on change", "date in preamble", "date in file name", "two apart", "parts", "milliseconds"}},
	{19, "date form", []string{"2006-01-02", "02.01.2006", "02/01/2006", "01/02/2006", "02-01-2006", "2006/01/02", "02.01.06", "2 Jan 2006", "20060102", "01/02/06", "Mon 2 Jan 2006", "week"}},
	{19, "date choice", []string{"late day", "over midnight", "early day"}},
	{20, "clock", []string{"24 h", "AM", "a.m.", "no seconds", "fraction .", "fraction ,", "fraction :", "one digit", "PM narrow", "lettered"}},
	{21, "time kind", []string{"stamp", "ISO Z", "ISO offset", "epoch s", "epoch ms", "epoch us", "serial", "elapsed s", "elapsed clock", "sample number", "serial 1904", "digits", "interval"}},
	{22, "zone", []string{"register", "preamble", "fold", "gap", "no switch", "unknown", "in stamps"}},
	{23, "averages", []string{"no", "in names"}},
	{24, "sequence", []string{"even", "doubled", "descending", "gaps", "jitter", "clock unset", "overlap", "several a minute"}},
	{25, "markers", []string{"none", "empty", "words", "dashes", "numbers", "limits"}},
	{26, "footer", []string{"none", "summary", "end mark", "summary below blank", "extremes"}},
	{27, "layout", []string{"wide", "one sensor", "long", "long with unit", "side by side", "stacked"}},
	{28, "states", []string{"none", "on off", "mode text", "event rows", "comment column", "comment of lines"}},
	{29, "rates", []string{"even", "on change", "different"}},
	{30, "container", []string{"none", "gz", "zip", "spreadsheet", "web page", "web table"}},
}

// Recipes makes n recipes. Each has a few ways that are not plain; they are chosen
// so that pairs of ways that did not meet before meet first. Covered and possible
// count the pairs that met and those that met in any recipe tried.
func Recipes(seed uint64, n int) (list []Recipe, covered, possible int) {
	rng := rand.New(rand.NewPCG(seed, 0))
	met, seen := map[string]bool{}, map[string]bool{}
	for range n {
		var best Recipe
		most := -1
		for range 12 {
			r := randomRecipe(rng)
			fresh := 0
			for _, p := range r.pairs() {
				seen[p] = true
				if !met[p] {
					fresh++
				}
			}
			if fresh > most {
				best, most = r, fresh
			}
		}
		for _, p := range best.pairs() {
			met[p] = true
		}
		list = append(list, best)
	}
	return list, len(met), len(seen)
}

// usual is how many levels of the dimensions that always vary are usual.
const usual = 8

// randomRecipe leaves most dimensions plain, as a real logger does.
func randomRecipe(rng *rand.Rand) Recipe {
	r := Recipe{}
	for _, d := range dimensions {
		r[d.name] = d.levels[0]
	}
	for _, name := range []string{"language", "unit system", "delimiter", "date form", "date choice"} {
		d := dimensionNamed(name)
		if rng.IntN(2) == 0 {
			r[name] = d.levels[rng.IntN(min(len(d.levels), usual))]
		}
	}
	if rng.IntN(2) == 0 {
		r["decimal mark"] = "comma"
	}
	if rng.IntN(2) == 0 {
		r["answers"] = "none"
	}
	for range 2 + rng.IntN(4) {
		d := dimensions[2+rng.IntN(len(dimensions)-2)]
		r[d.name] = d.levels[rng.IntN(len(d.levels))]
	}
	if rng.IntN(40) > 0 {
		r["length"] = "short"
	}
	r.repair()
	return r
}

func dimensionNamed(name string) dimension {
	for _, d := range dimensions {
		if d.name == name {
			return d
		}
	}
	return dimension{}
}

// pairs lists the pairs of levels that are not plain.
func (r Recipe) pairs() []string {
	var on []string
	for _, d := range dimensions {
		if r[d.name] != d.levels[0] {
			on = append(on, d.name+"="+r[d.name])
		}
	}
	var pairs []string
	for i := range on {
		for _, b := range on[:i] {
			pairs = append(pairs, on[i]+" & "+b)
		}
	}
	return pairs
}

// Groups lists the groups in which the recipe is not plain.
func (r Recipe) Groups() []int {
	found := map[int]bool{0: true}
	for _, d := range dimensions {
		if r[d.name] != d.levels[0] {
			found[d.group] = true
		}
	}
	var list []int
	for g := range found {
		list = append(list, g)
	}
	sort.Ints(list)
	return list
}

func (r Recipe) String() string {
	var on []string
	for _, d := range dimensions {
		if r[d.name] != d.levels[0] {
			on = append(on, fmt.Sprintf("%s=%s", d.name, r[d.name]))
		}
	}
	return strings.Join(on, "; ")
}

// is tells whether a dimension has one of the levels.
func (r Recipe) is(name string, levels ...string) bool {
	for _, l := range levels {
		if r[name] == l {
			return true
		}
	}
	return false
}

// plain sets dimensions to their plain level.
func (r Recipe) plain(names ...string) {
	for _, n := range names {
		r[n] = dimensionNamed(n).levels[0]
	}
}

// repair makes plain what cannot meet in one file.
func (r Recipe) repair() {
	r.repairTime()
	r.repairLayout()
	r.repairBytes()
	r.repairNumbers()
	if r.is("reference", "preamble") || r.is("unit place", "preamble") || r.is("time columns", "date in preamble") ||
		r.is("zone", "preamble") || r.is("time kind", "elapsed s", "elapsed clock", "sample number", "serial 1904") {
		if r.is("preamble", "none") {
			r["preamble"] = "colon"
		}
	}
}

func (r Recipe) repairTime() {
	if !r.is("time kind", "stamp") {
		r.plain("time columns", "clock", "date form", "name holds", "date choice")
		if r.is("zone", "fold", "gap", "no switch", "preamble", "in stamps") {
			r.plain("zone")
		}
		if r.is("sequence", "clock unset", "several a minute") {
			r.plain("sequence")
		}
	}
	if r.is("time kind", "elapsed s", "elapsed clock", "sample number") {
		r.plain("sequence", "joints")
		if r.is("names", "changed order", "repeated") {
			r.plain("names")
		}
	}
	if r.is("time columns", "date in preamble", "date in file name") {
		r.plain("sequence", "date form", "date choice", "name holds")
		if r.is("zone", "fold", "gap", "no switch") {
			r.plain("zone")
		}
	}
	if r.is("time columns", "parts", "milliseconds") {
		r.plain("clock", "date form", "name holds")
		if r.is("sequence", "several a minute") {
			r.plain("sequence")
		}
	}
	if r.is("time columns", "date in preamble", "date in file name", "parts", "milliseconds", "two apart") && r.is("zone", "in stamps") {
		r.plain("zone")
	}
	if r.is("zone", "in stamps") {
		r.plain("name holds")
	}
	if r.is("time columns", "milliseconds") && r.is("zone", "fold", "gap", "no switch") {
		r.plain("zone")
	}
	if r.is("zone", "fold", "gap", "no switch") {
		r.plain("sequence", "date choice", "length", "name holds")
		if r.is("clock", "fraction .", "fraction ,", "fraction :") {
			r.plain("clock")
		}
	}
	if r.is("name holds", "zone") && !(r.is("zone", "register", "unknown") && r.is("time columns", "one") && r.is("time kind", "stamp", "serial")) {
		r.plain("name holds")
	}
	if r.is("sequence", "several a minute") {
		r["clock"] = "no seconds"
	}
	if r.is("sequence", "descending", "overlap", "clock unset") || r.is("joints", "mark in the middle") || r.is("names", "changed order", "repeated") {
		if r.is("time columns", "date on change") {
			r["time columns"] = "two"
		}
	}
}

func (r Recipe) repairLayout() {
	if r.is("layout", "long", "long with unit", "stacked", "side by side") {
		r.plain("header", "names", "trailing", "states", "rates", "quotes", "disturbance", "end", "joints", "sequence", "averages", "footer", "length")
		if r.is("delimiter", "blanks") {
			r.plain("delimiter")
		}
		if r.is("unit place", "missing", "cell") {
			r.plain("unit place")
		}
		if r.is("layout", "side by side") {
			r.plain("time columns", "time kind")
		}
		if r.is("layout", "stacked", "side by side") && r.is("time columns", "date on change", "date in preamble", "date in file name") {
			r.plain("time columns")
		}
	}
	if r.is("delimiter", "blanks") {
		r.plain("quotes", "trailing", "states", "rates", "header", "names", "time columns", "joints", "averages")
		if r.is("markers", "empty") {
			r.plain("markers")
		}
		if !r.is("unit place", "parentheses", "missing", "preamble") {
			r["unit place"] = "parentheses"
		}
		if r.is("zone", "in stamps") {
			r.plain("zone")
		}
		if r.is("thousands", "blank", "no-break", "narrow", "thin") || r.is("numbers", "padded") {
			r.plain("thousands", "numbers")
		}
		if r.is("date form", "2 Jan 2006", "Mon 2 Jan 2006") || r.is("clock", "AM", "a.m.", "PM narrow") {
			r.plain("date form", "clock")
		}
		if r.is("time kind", "stamp") && !r.is("name holds", "zone") {
			r["time columns"] = "two"
		}
	}
	if r.is("header", "none") {
		if r.is("time columns", "parts", "milliseconds") {
			r.plain("time columns")
		}
		r.plain("names", "name holds", "averages", "states")
		if r.is("time kind", "elapsed s", "elapsed clock", "sample number") {
			r.plain("time kind")
		}
		r["unit place"] = "missing"
		if !r.is("reference", "preamble") {
			r["reference"] = "nowhere"
		}
	}
	if r.is("header", "line breaks") {
		r.plain("sequence", "joints", "quotes")
		if r.is("names", "changed order", "repeated") {
			r.plain("names")
		}
	}
	if r.is("header", "units and pattern") && !(r.is("time columns", "one") && r.is("time kind", "stamp")) {
		r.plain("header")
	}
	if r.is("header", "units below", "units and processing", "units and pattern") {
		r.plain("unit place")
	}
	if r.is("names", "changed order", "repeated") && r.is("header", "none") {
		r.plain("names")
	}
	if r.is("unit place", "missing", "suffix", "preamble") && r.is("reference", "unit") {
		r["reference"] = "header"
	}
	if r.is("states", "event rows", "comment column", "comment of lines") && r.is("layout", "one sensor") {
		r.plain("states")
	}
}

func (r Recipe) repairBytes() {
	if strings.HasPrefix(r["encoding"], "utf-16") || strings.HasPrefix(r["encoding"], "utf-32") {
		r.plain("joints")
		if r.is("end", "NUL padding", "FF padding", "NUL line") {
			r.plain("end")
		}
	}
	if r.is("joints", "mark in the middle") && !r.is("encoding", "utf-8", "utf-8 mark") {
		r.plain("encoding")
	}
	if r.is("line ends", "CR") && r.is("end", "NUL line") {
		r.plain("end")
	}
	if !r.is("container", "none") {
		r.plain("end", "length")
	}
}

func (r Recipe) repairNumbers() {
	comma := r.is("delimiter", ",", ", ")
	if r.is("decimal mark", "comma unquoted") && (!comma || !r.is("quotes", "none", "header") || !r.is("layout", "wide")) {
		r["decimal mark"] = "comma"
	}
	if r.is("decimal mark", "comma unquoted", "open") {
		r.plain("thousands", "numbers", "markers", "rates", "states", "unit place", "header", "names", "disturbance", "trailing", "end")
	}
	if r.is("decimal mark", "open") {
		if comma || !r.is("layout", "wide", "one sensor") {
			r["decimal mark"] = "comma"
		} else {
			r["layout"] = "wide"
		}
	}
	if comma && r.is("decimal mark", "point") && r.is("thousands", "other mark") {
		r.plain("thousands")
	}
	if comma && r.is("clock", "fraction ,") {
		r.plain("clock")
	}
	if r.is("unit place", "cell") && !r.is("numbers", "plain") {
		r.plain("numbers")
	}
	if !r.is("thousands", "none") {
		r.plain("numbers")
		if r.is("layout", "one sensor") {
			r.plain("layout")
		}
	}
	if r.is("decimal mark", "Arabic") && r.is("numbers", "exponent") {
		r.plain("numbers")
	}
}
