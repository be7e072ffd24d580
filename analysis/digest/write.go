package digest

import (
	_ "embed"
	"html/template"
	"io"
	"strings"

	"rimelog/analysis/say"
)

//go:embed mail.html
var mailHTML string

// things are what each change is counted as.
var things = map[Change]say.Thing{
	New: "new finding", Worse: "worsened finding", Again: "reopened finding", Due: "due check", Answered: "answered finding",
	Closed: "closed finding", Gone: "withdrawn finding", Refused: "refused upload",
}

// Tally counts what is new by its kind, in words.
func (d Digest) Tally(l say.Locale) string {
	counts := map[Change]int{}
	for _, i := range d.Items {
		counts[i.Change]++
	}
	var parts []string
	for _, c := range order {
		if n := counts[c]; n > 0 {
			parts = append(parts, l.Count(n, things[c]))
		}
	}
	if len(parts) == 0 {
		return l.Text("nothing new")
	}
	return strings.Join(parts, ", ")
}

// Subject is one line that says what is in it, without names from the register: they
// may hold anything.
func (d Digest) Subject(l say.Locale) string {
	return "rimelog " + d.AsOf + ": " + plain(d.Tally(l))
}

// plain has ordinary spaces, which every mail reader shows.
func plain(s string) string { return strings.NewReplacer("\u00a0", " ", "\u202f", " ").Replace(s) }

// words is a digest as its readers are told it.
type words struct {
	Tag, Subject, Since, Nothing, SoFar, Cautions string
	Items                                         []told
	Answers                                       []string
}

// told is one item in words. What comes from the register stands on one line.
type told struct{ Change, Where, Detail, Next string }

func (d Digest) words(l say.Locale) words {
	w := words{
		Tag: l.Tag(), Subject: d.Subject(l), Nothing: l.Text("Nothing new."),
		SoFar:    l.Text("What people saw who were sent to findings, so far:"),
		Cautions: l.Text("Indications to be confirmed on site. Refrigerant circuits are under pressure and may hold flammable or toxic gas: only licensed persons open them, under local codes."),
	}
	if d.Since != "" {
		w.Since = l.Text("Since %s.", l.Dated(d.Since))
	}
	for _, i := range d.Items {
		w.Items = append(w.Items, i.words(l))
	}
	for _, h := range d.Answers {
		w.Answers = append(w.Answers, say.Capital(l.Prose(h.String())))
	}
	return w
}

// words puts an item into words. The path of an upload, and what it says, stay as they are
// but for what the program wrote: they hold names and dates that are nobody's.
func (i Item) words(l say.Locale) told {
	what, detail := l.Prose(i.What), l.Dated(l.Sentence(i.Detail))
	if i.Change == Refused {
		what, detail = i.What, l.Sentence(i.Detail)
	}
	t := told{Change: say.Capital(l.Prose(string(i.Change))), Where: oneLine(join(", ", i.System, i.Site, what)), Detail: oneLine(detail)}
	next := say.Text("Next: %s")
	if i.Change == Due {
		next = "Rule: %s"
	}
	if i.Next != "" {
		t.Next = oneLine(l.Text(next, l.Sentence(i.Next)))
	}
	return t
}

// Text writes the digest as plain text.
func (d Digest) Text(w io.Writer, l say.Locale) error {
	t := d.words(l)
	lines := []string{t.Subject}
	if t.Since != "" {
		lines = append(lines, t.Since)
	}
	for _, i := range t.Items {
		lines = append(lines, "", strings.ToUpper(i.Change)+": "+i.Where, "  "+i.Detail)
		if i.Next != "" {
			lines = append(lines, "  "+i.Next)
		}
	}
	if len(t.Answers) > 0 {
		lines = append(lines, "", t.SoFar)
	}
	for _, a := range t.Answers {
		lines = append(lines, "  "+a)
	}
	_, err := io.WriteString(w, plain(strings.Join(append(lines, "", t.Cautions, ""), "\n")))
	return err
}

func join(sep string, parts ...string) string {
	var filled []string
	for _, p := range parts {
		if p != "" {
			filled = append(filled, p)
		}
	}
	return strings.Join(filled, sep)
}

// oneLine keeps text from elsewhere on its line.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// HTML writes the digest for a mail reader: one file, no script, nothing fetched.
func (d Digest) HTML(w io.Writer, l say.Locale) error {
	t, err := template.New("mail").Parse(mailHTML)
	if err != nil {
		return err
	}
	return t.Execute(w, d.words(l))
}
