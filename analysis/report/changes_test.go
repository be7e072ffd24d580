package report_test

import (
	"errors"
	"strings"
	"testing"

	"rimelog/analysis/report"
	"rimelog/pipeline"
	"rimelog/pipeline/local"
	"rimelog/pipeline/table"
)

// changes is what a report's fleet page says under "What changed"; empty where it says
// nothing of it.
func changes(w *workspace) string {
	_, rest, ok := strings.Cut(w.pages()["report/index.html"], `<section id="changes"`)
	if !ok {
		return ""
	}
	section, _, _ := strings.Cut(rest, "</section>")
	return plain([]byte("<p " + section))
}

func TestFleetPageSaysWhatChanged(t *testing.T) {
	w := newWorkspace(t)
	w.run()
	if text := changes(w); text != "" {
		t.Errorf("the first report compares with nothing, and says %q", text)
	}
	first := append([]table.Finding(nil), w.fleet.Findings...)
	second := append([]table.Finding(nil), first...)
	var kept table.Finding
	for i := range second {
		if second[i].State == "open" && kept.ID == "" {
			kept = second[i]
			second[i].Size, second[i].SizeLo, second[i].SizeHi = 3*kept.SizeLo, 4*kept.SizeLo, 2*kept.SizeLo
		} else if second[i].State == "open" {
			second[i].State = "answered"
		}
	}
	w.commitFleet(second)
	w.run()
	text := changes(w)
	in(t, text, "Since the report of 6 Oct 2025 (generation 1 of the fleet): 1 worsened finding, ", "answered", "Worsened : Cold room 2 . Charge loss suspected. Subcooling −")
	w.run()
	if again := changes(w); again != text {
		t.Errorf("a rerun that changed nothing says %q, before it %q", again, text)
	}
	w.commitFleet(first)
	w.run()
	in(t, changes(w), "generation 2 of the fleet", "Open again")
	w.since = 1
	w.run()
	in(t, changes(w), "generation 1 of the fleet): nothing new.")
}

// A generation that no report was drawn from is refused, and those that there are named.
func TestSinceUnknownGeneration(t *testing.T) {
	w := newWorkspace(t)
	w.run()
	w.commitFleet(nil)
	s := report.NewStage(w.data, w.register, report.Options{})
	s.Since = 7
	_, err := pipeline.Run(t.Context(), s.Rounds(), local.Runner{Workers: 1}, pipeline.Hooks{})
	var since *report.SinceError
	if !errors.As(err, &since) || !strings.Contains(err.Error(), "there are those of 1") {
		t.Errorf("the error is %v", err)
	}
}
