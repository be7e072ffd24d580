package trust

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Mistake tells whether a rule means that somebody logged wrong: not that the register
// or the machine is another one, that other instruments came along, or that somebody
// worked.
func Mistake(rule string) bool {
	switch rule {
	case "D1", "D16", "D21", "D22", "D24", "D33":
		return false
	}
	_, known := RuleOf(rule)
	return known
}

// A Delivery is an upload as one system sees it.
type Delivery struct {
	Upload, Path, System string
	First, Last          int64   // what its samples lie between, microseconds since 1970
	Stored               float64 // % of its values that are stored and no missing markers; NaN unknown
}

// Verdict says what an upload gave to a system, by the visits in its time.
func Verdict(d Delivery, r Record) table.UploadVerdict {
	v := table.UploadVerdict{Upload: d.Upload, Path: d.Path, System: d.System, StoredPct: d.Stored}
	var reasons tally
	var rules []string
	var t times
	for _, x := range r.visited(d.First, d.Last) {
		t.add(x)
		v.Visits++
		switch x.Use {
		case table.UseTrend:
			v.Used++
		case table.UseSpot:
			v.Shown++
		}
		if reasons.add(x.Reason); x.Use == table.UseTrend && x.Doubt != "" {
			reasons.add("hidden in it: " + named(strings.Fields(x.Doubt)))
		}
		v.Fingerprint, v.Engineer = either(v.Fingerprint, x.Fingerprint), either(v.Engineer, x.Engineer)
	}
	for _, f := range r.known(d.First, d.Last) {
		for _, x := range f.Doubts {
			rules = append(rules, x.Rule)
		}
	}
	slices.SortFunc(rules, byNumber)
	v.Rules = strings.Join(slices.Compact(rules), " ")
	t.share(&v)
	v.Verdict, v.Reasons = verdict(v, reasons)
	return v
}

func verdict(v table.UploadVerdict, reasons tally) (word, why string) {
	switch {
	case v.Visits == 0:
		return table.UploadUnused, "no samples of it are left once doubles are taken out"
	case v.Used == 0:
		return table.UploadUnused, reasons.text()
	case v.Used < v.Visits || len(reasons.texts) > 0:
		return table.UploadInPart, reasons.text()
	}
	return table.UploadUsed, ""
}

// Unread is the verdict on an upload of which no sample came into the dataset.
func Unread(u table.Upload) table.UploadVerdict {
	nan := math.NaN()
	v := table.UploadVerdict{
		Upload: u.Upload, Path: u.Path, System: u.Systems, Verdict: table.UploadUnused, Reasons: u.Reason,
		Logged: nan, OffPct: nan, LeftPct: nan, MovingPct: nan, JudgedPct: nan, ShownPct: nan, StoredPct: Stored(u),
	}
	v.Reasons = cmp.Or(v.Reasons, unreadReason(u))
	return v
}

// unreadReason is why an upload that is not said to be unreadable left no sample.
func unreadReason(u table.Upload) string {
	switch {
	case u.Status != "read":
		return u.Status
	case u.Stored > 0:
		return "none of its columns is known to be a channel"
	case u.Duplicates > 0:
		return "all of its values stand in another upload"
	}
	return "no line of it could be taken"
}

// Stored is the share of an upload's values that are stored, %; NaN where it has none.
func Stored(u table.Upload) float64 { return percent(float64(u.Stored), float64(u.Values-u.Missing)) }

func percent(part, of float64) float64 {
	if of <= 0 {
		return math.NaN()
	}
	return 100 * part / of
}

// times sums how visits spent their minutes.
type times struct{ logged, off, left, judged, shown float64 }

func (t *times) add(v *Use) {
	t.logged += robust.OrZero(v.Logged)
	t.off += robust.OrZero(v.Off)
	t.left += robust.OrZero(v.LeftOut)
	switch v.Use {
	case table.UseTrend:
		t.judged += robust.OrZero(v.Judged)
	case table.UseSpot:
		t.shown += robust.OrZero(v.Judged)
	}
}

func (t times) share(v *table.UploadVerdict) {
	v.Logged = t.logged
	v.OffPct, v.LeftPct = percent(t.off, t.logged), percent(t.left, t.logged)
	v.JudgedPct, v.ShownPct = percent(t.judged, t.logged), percent(t.shown, t.logged)
	v.MovingPct = percent(math.Max(0, t.logged-t.off-t.left-t.judged-t.shown), t.logged)
}

// A tally counts texts in the order in which they came.
type tally struct {
	texts []string
	count map[string]int
}

func (t *tally) add(text string) {
	if text == "" {
		return
	}
	if t.count == nil {
		t.count = map[string]int{}
	}
	if t.count[text]++; t.count[text] == 1 {
		t.texts = append(t.texts, text)
	}
}

// mostTexts is how many reasons are told one by one.
const mostTexts = 4

// text tells the commonest first, each with its count where it is more than one.
func (t tally) text() string {
	list := slices.Clone(t.texts)
	slices.SortStableFunc(list, func(a, b string) int { return t.count[b] - t.count[a] })
	var out []string
	for i, text := range list {
		if i == mostTexts {
			out = append(out, fmt.Sprintf("and %d more", len(list)-i))
			break
		}
		if n := t.count[text]; n > 1 {
			text += fmt.Sprintf(" (%d times)", n)
		}
		out = append(out, text)
	}
	return strings.Join(out, "; ")
}

func either(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// byNumber puts D9 before D10.
func byNumber(a, b string) int {
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	return strings.Compare(a, b)
}
