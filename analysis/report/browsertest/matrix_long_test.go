//go:build long

package browsertest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// Every page of both invented fleets, light and dark, at two widths: quiet, drawn,
// accessible, and never wider than its reader's screen.
func TestMatrix(t *testing.T) {
	b := browser(t)
	for fleet, f := range map[string]report.Fleet{"fleet": reporttest.Fleet(1), "hostile": reporttest.Hostile()} {
		dir := written(t, f, report.Options{})
		names := []string{"index.html", "visits.html", "leaks.html", "seasons.html", "method.html", "quality.html"}
		for _, s := range f.Systems {
			id := s.Register.ID
			names = append(names, report.SystemPath(id), report.SheetPath(id), report.CardPath(id))
		}
		for _, name := range names {
			for _, look := range []string{"light", "dark"} {
				for _, width := range []int64{390, 1280} {
					t.Run(fmt.Sprintf("%s/%s/%s/%d", fleet, name, look, width), func(t *testing.T) {
						p := open(t, b, dir, name, scheme(look), chromedp.EmulateViewport(width, 900))
						p.drawAllIfAny()
						if w := eval[int64](p, "document.documentElement.scrollWidth"); w > width {
							t.Errorf("it is %d pixels wide", w)
						}
						p.quiet()
						if width > 1000 {
							accessible(p, name)
						}
					})
				}
			}
		}
	}
}
