package report

import (
	"math"
	"regexp"
	"strconv"
	"testing"
)

// luminance and contrast are defined in WCAG 2.2, "relative luminance" and
// "contrast ratio".
func luminance(hex string) float64 {
	channel := func(i int) float64 {
		n, _ := strconv.ParseUint(hex[1+i:3+i], 16, 8)
		if c := float64(n) / 255; c > 0.04045 {
			return math.Pow((c+0.055)/1.055, 2.4)
		}
		return float64(n) / 255 / 12.92
	}
	return 0.2126*channel(0) + 0.7152*channel(2) + 0.0722*channel(4)
}

func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// palettes are the colours of the style, light and dark.
func palettes(t *testing.T) []map[string]string {
	t.Helper()
	css, err := html.ReadFile("html/report.css")
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, block := range regexp.MustCompile(`color-scheme: \w+;[^}]*`).FindAll(css, -1) {
		p := map[string]string{}
		for _, m := range regexp.MustCompile(`--([\w-]+): (#[0-9a-f]+);`).FindAllSubmatch(block, -1) {
			p[string(m[1])] = string(m[2])
		}
		out = append(out, p)
	}
	if len(out) != 3 {
		t.Fatalf("%d palettes, want light, dark by the reader's choice, dark by the button", len(out))
	}
	return out
}

// WCAG 2.2: 1.4.3 wants 4.5 for text, 1.4.11 wants 3 for graphics.
func TestContrast(t *testing.T) {
	if got := contrast("#000000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Fatalf("black on white is %g, want 21 (WCAG 2.2)", got)
	}
	for i, p := range palettes(t) {
		for _, ground := range []string{"paper", "surface"} {
			for _, text := range []string{"ink", "ink-2", "drift", "event", "measure"} {
				if got := contrast(p[text], p[ground]); got < 4.5 {
					t.Errorf("palette %d: text %s on %s has %.2f, want 4.5", i, text, ground, got)
				}
			}
			for _, mark := range []string{"measure", "drift", "unsure", "reference", "event", "focus", "season-1", "season-2", "season-3", "season-4",
				"trace-1", "trace-2", "trace-3", "trace-4", "trace-5", "trace-6"} {
				if got := contrast(p[mark], p[ground]); got < 3 {
					t.Errorf("palette %d: mark %s on %s has %.2f, want 3", i, mark, ground, got)
				}
			}
		}
	}
}

func TestDarkIsDarkEitherWay(t *testing.T) {
	p := palettes(t)
	for name, colour := range p[1] {
		if p[2][name] != colour {
			t.Errorf("--%s is %s by the reader's choice and %s by the button", name, colour, p[2][name])
		}
	}
	for name := range p[0] {
		if p[1][name] == "" {
			t.Errorf("--%s has no dark value", name)
		}
	}
}

// Every colour and function that charts and marks name is in the style and script.
func TestNamesOfTheStyle(t *testing.T) {
	light := palettes(t)[0]
	css, _ := html.ReadFile("html/report.css")
	types := map[string]bool{"wire": true}
	for _, m := range regexp.MustCompile(`--(\w+): [^;#]*serif;`).FindAllSubmatch(css, -1) {
		types[string(m[1])] = true
	}
	for _, m := range regexp.MustCompile(`var\(--([\w-]+)\)`).FindAllSubmatch(css, -1) {
		if name := string(m[1]); light[name] == "" && !types[name] {
			t.Errorf("the style uses --%s and does not define it", name)
		}
	}
}
