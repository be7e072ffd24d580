package score

import (
	"maps"
	"path"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// DataErrors is which mistakes of those who log were found. A mistake is one rule
// of the trade's list (D1 to D33) in one log; a wrong refrigerant (D1) is one of a
// system.
type DataErrors struct {
	Errors
	ByRule map[string]Errors `json:"by_rule"`
	// ByClass is the share of mistakes that were found, by what they can be seen by.
	ByClass map[string]ClassFound `json:"by_class"`
	// Unseen is the share of those that were found of which nothing that was logged or written
	// down can show anything, such as an error within the instrument's own limits. They count
	// nowhere else.
	Unseen Share `json:"unseen"`
	// FalseFlags is the share of clean logs about which some rule speaks.
	FalseFlags Share `json:"false_flags"`
}

// ClassFound is how many mistakes of a class were found.
type ClassFound struct {
	Found     Share `json:"found"`      // of all
	FromThird Share `json:"from_third"` // of those in a system's third log or a later one
}

// Errors counts mistakes.
type Errors struct {
	Found    int `json:"found"`    // made, and said to be there
	Missed   int `json:"missed"`   // made, and not said
	Invented int `json:"invented"` // said, but not made
}

// A slip is a mistake at its place: a log or a system.
type slip struct{ place, rule string }

// remarks is what the analysis tells of mistakes.
func remarks(in Input) map[slip]bool {
	out := said(in)
	for s := range twiceRead(in) {
		out[s] = true
	}
	return out
}

// dataErrors holds what was told of mistakes against those that were made; nil where no
// upload was looked at.
func dataErrors(in Input, said map[slip]bool) *DataErrors {
	if len(in.Uploads) == 0 {
		return nil
	}
	made, said := made(in.Truth), maps.Clone(said)
	hidden := unseen(in.Truth)
	d := &DataErrors{ByRule: map[string]Errors{}, Unseen: shareSaid(hidden, said)}
	forget(hidden, made, said)
	forget(masked(in, made, leftOut(in, made, said)), made, said)
	d.ByClass, d.FalseFlags = classes(in, made, said), flags(in.Truth, made, said)
	for s := range made {
		if said[s] {
			d.count(s.rule, Errors{Found: 1})
		} else {
			d.count(s.rule, Errors{Missed: 1})
		}
	}
	for s := range said {
		if !made[s] {
			d.count(s.rule, Errors{Invented: 1})
		}
	}
	return d
}

// classes are the shares by class of rule. A mistake in a system's register counts as
// one of its third log.
func classes(in Input, made, said map[slip]bool) map[string]ClassFound {
	number := map[string]int{}
	logs := map[string]int{}
	for _, x := range records(in.Truth.Files) {
		if _, again := number[x.Path]; !again {
			logs[x.System]++
			number[x.Path] = logs[x.System]
		}
	}
	type count struct{ found, all, late, lateAll int }
	counts := map[string]*count{}
	for s := range made {
		class, known := in.Classes[s.rule]
		if !known {
			continue
		}
		if counts[class] == nil {
			counts[class] = &count{}
		}
		c, found := counts[class], int(flag(said[s]))
		c.found, c.all = c.found+found, c.all+1
		if n := number[s.place]; n == 0 || n >= 3 {
			c.late, c.lateAll = c.late+found, c.lateAll+1
		}
	}
	out := map[string]ClassFound{}
	for class, c := range counts {
		out[class] = ClassFound{share(c.found, c.all), share(c.late, c.lateAll)}
	}
	return out
}

// dataErrors holds what was told about a part's systems against what was made there.
func (f fleet) dataErrors(in Input, notes map[slip]bool) *DataErrors {
	places := map[string]bool{}
	mine := func(system string) bool { return f.find(system) != nil }
	in.Truth.Files = slices.DeleteFunc(slices.Clone(in.Truth.Files), func(x truth.File) bool { return !mine(x.System) })
	in.Truth.Slips = slices.DeleteFunc(slices.Clone(in.Truth.Slips), func(s truth.Slip) bool { return !mine(s.System) })
	for _, s := range f.subjects {
		places[s.ID] = true
	}
	for _, x := range in.Truth.Files {
		places[x.Path] = true
	}
	theirs := maps.Clone(notes)
	maps.DeleteFunc(theirs, func(s slip, _ bool) bool { return !places[s.place] })
	return dataErrors(in, theirs)
}

func (d *DataErrors) count(rule string, e Errors) {
	d.Errors = d.plus(e)
	d.ByRule[rule] = d.ByRule[rule].plus(e)
}

func (e Errors) plus(x Errors) Errors {
	return Errors{e.Found + x.Found, e.Missed + x.Missed, e.Invented + x.Invented}
}

// made lists the mistakes of logs and of systems. Of a log that was uploaded twice
// (D16) the second copy has the mistake, and its other mistakes count once.
func made(f truth.Fleet) map[slip]bool {
	out := map[slip]bool{}
	first := map[string]bool{}
	for _, x := range records(f.Files) {
		again := first[sameLog(x)]
		first[sameLog(x)] = true
		for _, m := range x.Mistakes {
			if (m.ID == twice) == again {
				out[slip{x.Path, m.ID}] = true
			}
		}
	}
	for _, s := range f.Slips {
		if wrongRefrigerant(s) {
			out[slip{s.System, "D1"}] = true
		}
	}
	otherKits(f, out)
	lastingMeters(f, out)
	return out
}

// lastingMeters adds the later files of loggers that stay whose power meter was still wrong (D28):
// the file in which that begins has it by itself.
func lastingMeters(f truth.Fleet, out map[slip]bool) {
	wrong := map[string][]truth.MeterError{}
	for _, s := range f.Systems {
		wrong[s.ID] = s.MeterErrors
	}
	files := records(f.Files)
	for _, x := range files {
		for _, e := range wrong[x.System] {
			if out[slip{x.Path, powerMeter}] && !e.From.Before(x.Start) && e.From.Before(x.End) {
				goOn(files, x, e.To, out)
			}
		}
	}
}

// goOn adds a wrong meter to the logger's files after one, up to a time.
func goOn(files []truth.File, first truth.File, to time.Time, out map[slip]bool) {
	for _, x := range files {
		if x.System == first.System && x.Kit == first.Kit && x.Start.After(first.Start) && x.Start.Before(to) {
			out[slip{x.Path, powerMeter}] = true
		}
	}
}

// powerMeter is the rule of power that does not balance.
const powerMeter = "D28"

// otherKits adds other instruments (D24) than those of the log before that can be read: one
// that nobody can read says nothing of its instruments.
func otherKits(f truth.Fleet, out map[slip]bool) {
	files := records(f.Files)
	slices.SortStableFunc(files, func(a, b truth.File) int { return a.Start.Compare(b.Start) })
	kits := map[string]string{}
	for _, x := range files {
		if unreadable(x) || elsewhere(x) {
			continue
		}
		if before, known := kits[x.System]; known && before != x.Kit {
			out[slip{x.Path, "D24"}] = true
		}
		kits[x.System] = x.Kit
	}
}

// whole are the rules that leave a log out as a whole: its samples have no time, it is another
// system's, or it is too short to be judged.
var whole = []string{"D15", "D18", "D32"}

// leftOut lists the logs of which nothing is judged, and rightly so: they cannot be read, or a
// mistake that leaves them out as a whole was made and said. A log with a wrong clock counts
// where nothing of it was stored.
func leftOut(in Input, made, said map[slip]bool) map[string]bool {
	stored := map[string]bool{}
	for _, u := range in.Uploads {
		stored[u.Path] = u.Stored > 0
	}
	out := map[string]bool{}
	for _, x := range records(in.Truth.Files) {
		for _, rule := range whole {
			s := slip{x.Path, rule}
			out[x.Path] = out[x.Path] || made[s] && said[s] && (rule != "D15" || !stored[x.Path])
		}
		out[x.Path] = out[x.Path] || unreadable(x)
	}
	return out
}

// headerless is the quirk of a log without a header: nobody can tell what its columns are
// before the register says so.
const headerless = "no_header"

// unreadable tells whether a log cannot be read or judged at all.
func unreadable(x truth.File) bool {
	return x.Trap != "" || slices.Contains(x.Quirks, headerless)
}

// masked are the other mistakes of logs that are left out as a whole, and all of those that
// cannot be read: nobody looks for them there, and nothing rests on them.
func masked(in Input, made map[slip]bool, out map[string]bool) map[slip]bool {
	closed := map[string]bool{}
	for _, x := range records(in.Truth.Files) {
		closed[x.Path] = unreadable(x)
	}
	list := map[slip]bool{}
	for s := range made {
		if out[s.place] && (closed[s.place] || !slices.Contains(whole, s.rule)) && s.rule != twice {
			list[s] = true
		}
	}
	return list
}

// unseen are the mistakes that nothing can show.
func unseen(f truth.Fleet) map[slip]bool {
	list := map[slip]bool{}
	for _, x := range records(f.Files) {
		for _, m := range x.Mistakes {
			if m.Unseen {
				list[slip{x.Path, m.ID}] = true
			}
		}
	}
	return list
}

// forget takes mistakes out, whether they were said or not.
func forget(list, made, said map[slip]bool) {
	for s := range list {
		delete(made, s)
		delete(said, s)
	}
}

// shareSaid is the share of mistakes that were said.
func shareSaid(list, said map[slip]bool) Share {
	hits := 0
	for s := range list {
		hits += int(flag(said[s]))
	}
	return share(hits, len(list))
}

// sameLog is what two uploads of one log have in common.
func sameLog(f truth.File) string { return f.System + " " + f.Kit + " " + f.Start.String() }

// said lists what the quality table tells.
func said(in Input) map[slip]bool {
	w := witnessOf(in.Truth)
	out := map[slip]bool{}
	for _, p := range in.Problems {
		if rule := ruleOf(p); rule != "" {
			if at, ok := w.place(p, rule); ok && w.stands(p, rule, at) {
				out[slip{at, rule}] = true
			}
		}
	}
	return out
}

// ruleOf is the rule a row of the quality table comes from, or empty. Cells that are
// no numbers are told of without one.
func ruleOf(p table.Problem) string {
	if p.Rule == "" && strings.Contains(p.Problem, " cells of ") {
		return "D31"
	}
	return p.Rule
}

// A witness knows what rows of the quality table are about.
type witness struct {
	files map[string]truth.File   // logs by path
	logs  map[string][]truth.File // by system
	first map[string]string       // files of records that were exported to several
	names map[string]string       // true refrigerants of systems whose register has another
	copy  map[string]string       // of logs that were uploaded twice: the first path, by the other

	otherKit      map[slip]bool   // logs with other instruments than the system's log before
	afterStranger map[string]bool // logs whose folder's log before is another system's, with other instruments
}

func witnessOf(f truth.Fleet) witness {
	w := witness{map[string]truth.File{}, map[string][]truth.File{}, map[string]string{}, map[string]string{}, map[string]string{}, map[slip]bool{}, afterStrangers(f)}
	otherKits(f, w.otherKit)
	original := map[string]string{}
	for _, x := range records(f.Files) {
		if one, again := original[sameLog(x)]; again {
			w.copy[x.Path] = one
		} else {
			original[sameLog(x)] = x.Path
		}
		w.files[x.Path] = x
		w.logs[x.System] = append(w.logs[x.System], x)
		w.first[x.Record] = x.Path
	}
	for _, x := range f.Files {
		if x.Record != "" {
			w.files[x.Path] = w.files[w.first[x.Record]]
		}
	}
	for _, s := range f.Slips {
		if wrongRefrigerant(s) {
			w.names[s.System] = s.True
		}
	}
	return w
}

// afterStrangers are the logs that follow, in their folder, another system's log with other instruments.
func afterStrangers(f truth.Fleet) map[string]bool {
	files, out, before := records(f.Files), map[string]bool{}, map[string]truth.File{}
	slices.SortStableFunc(files, func(a, b truth.File) int { return a.Start.Compare(b.Start) })
	for _, x := range files {
		folder, _, _ := strings.Cut(x.Path, "/")
		last, known := before[folder]
		out[x.Path] = known && elsewhere(last) && last.Kit != x.Kit
		before[folder] = x
	}
	return out
}

// place is the log, or for a wrong refrigerant the system, that a row is about.
func (w witness) place(p table.Problem, rule string) (string, bool) {
	if rule == "D1" {
		return p.System, p.System != ""
	}
	if name, ok := strings.CutPrefix(p.Place, "uploads/"); ok {
		name, _, _ = strings.Cut(name, ":")
		at := w.upload(name)
		if one, again := w.copy[at]; again && rule != twice {
			return one, true // whichever of the copies was read first
		}
		return at, true
	}
	for _, x := range w.logs[p.System] {
		if !p.Visit.Before(x.Start) && !p.Visit.After(x.End) {
			return x.Path, true
		}
	}
	return "", false
}

// upload is the path of the log that a row's path is about: its own, or that of the
// archive it is a member of, which quality writes as archive+member or archive/member.
func (w witness) upload(name string) string {
	name, _, _ = strings.Cut(name, "+")
	for at := name; at != "."; at = path.Dir(at) {
		if x, known := w.files[at]; known {
			return x.Path
		}
	}
	return name
}

// stands tells whether a row says something that is scored. Of a wrong refrigerant the
// true one must be among the candidates. A channel that truly is not there, and one that
// truly is off, may be told of without anybody's mistake; and so may other instruments than
// those of the file before in the folder, though that one is another system's: that this was
// not said counts there.
func (w witness) stands(p table.Problem, rule, at string) bool {
	switch rule {
	case "D1":
		name, wrong := w.names[at]
		return !wrong || strings.Contains(p.Problem, name)
	case "D2", "D3", "D10", "D26", "D27", "D30":
		x := w.files[at]
		return hasMistake(x, rule) || !slices.ContainsFunc(x.Unsound, func(c string) bool { return slices.Contains(stirredBy[rule], c) })
	case "D24":
		return w.otherKit[slip{at, rule}] || !w.afterStranger[at]
	case "D23":
		x, known := w.files[at]
		return !known || hasMistake(x, rule) ||
			slices.ContainsFunc(x.Columns, func(c truth.Column) bool { return strings.Contains(p.Problem, "["+c.Channel+"]") })
	}
	return true
}

// hasMistake tells whether a log has a mistake.
func hasMistake(x truth.File, rule string) bool {
	return slices.ContainsFunc(x.Mistakes, func(m truth.Mistake) bool { return m.ID == rule })
}

// stirredBy are the channels that make a rule speak where they are off: a pressure beyond its
// instrument's limit of error is one that lost its zero, whoever made no mistake.
var stirredBy = map[string][]string{
	"D2": {"suction_pressure", "discharge_pressure"}, "D3": {"suction_pressure", "discharge_pressure"}, "D30": {"suction_pressure", "discharge_pressure"}, "D10": {"suction_temp", "liquid_temp", "discharge_temp"},
	"D26": {"suction_pressure", "suction_temp"}, "D27": {"discharge_pressure", "liquid_temp"},
}

// wrongRefrigerant tells whether a slip of the register names another refrigerant.
func wrongRefrigerant(s truth.Slip) bool { return s.Table == "systems" && s.Field == "refrigerant" }

// flags is the share of clean logs, of systems whose register names the right
// refrigerant, about which some rule speaks.
func flags(f truth.Fleet, made, said map[slip]bool) Share {
	flagged, wrong := map[string]bool{}, map[string]bool{}
	for s := range said {
		if !made[s] {
			flagged[s.place] = true
		}
	}
	for _, s := range f.Slips {
		wrong[s.System] = wrong[s.System] || wrongRefrigerant(s)
	}
	var hits, n int
	for _, x := range records(f.Files) {
		if x.Trap != "" || len(x.Mistakes) > 0 || wrong[x.System] {
			continue
		}
		n++
		if flagged[x.Path] {
			hits++
		}
	}
	return share(hits, n)
}

// twiceRead lists the copies of a log of which nothing was stored twice: the same
// bytes are one upload, and other copies are counted as duplicates.
func twiceRead(in Input) map[slip]bool {
	stored := map[string]int64{}
	for _, u := range in.Uploads {
		stored[u.Path] = u.Stored
	}
	out := map[slip]bool{}
	first := map[string]string{}
	for _, x := range records(in.Truth.Files) {
		one, again := first[sameLog(x)]
		if !again {
			first[sameLog(x)] = x.Path
			continue
		}
		if stored[one] == 0 || stored[x.Path] == 0 {
			out[slip{x.Path, twice}] = true
		}
	}
	return out
}
