package digest

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
)

//go:embed mail.html
var mailHTML string

// Subject is one line that says what is in it, without names from the register: they
// may hold anything.
func (d Digest) Subject() string {
	counts := map[Change]int{}
	for _, i := range d.Items {
		counts[i.Change]++
	}
	var parts []string
	for _, c := range order {
		if n := counts[c]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, c))
		}
	}
	if len(parts) == 0 {
		return "rimelog " + d.AsOf + ": nothing new"
	}
	return "rimelog " + d.AsOf + ": " + strings.Join(parts, ", ")
}

// Cautions go with every digest that tells of work.
const Cautions = "Indications to be confirmed on site. Refrigerant circuits are under pressure and may hold flammable or toxic gas: only licensed persons open them, under local codes."

// soFar heads what became of findings.
const soFar = "What people saw who were sent to findings, so far:"

// Text writes the digest as plain text.
func (d Digest) Text(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", d.Subject())
	if d.Since != "" {
		fmt.Fprintf(&b, "since %s\n", d.Since)
	}
	for _, i := range d.Items {
		fmt.Fprintf(&b, "\n%s: %s\n  %s\n", strings.ToUpper(string(i.Change)), oneLine(join(", ", i.System, i.Site, i.What)), oneLine(i.Detail))
		if i.Next != "" {
			fmt.Fprintf(&b, "  -> %s\n", oneLine(i.Next))
		}
	}
	if len(d.Answers) > 0 {
		fmt.Fprintf(&b, "\n%s\n", soFar)
	}
	for _, h := range d.Answers {
		fmt.Fprintf(&b, "  %s\n", h)
	}
	fmt.Fprintf(&b, "\n%s\n", Cautions)
	_, err := io.WriteString(w, b.String())
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
func (d Digest) HTML(w io.Writer) error {
	t, err := template.New("mail").Parse(mailHTML)
	if err != nil {
		return err
	}
	return t.Execute(w, struct {
		Digest
		SoFar, Cautions string
	}{d, soFar, Cautions})
}
