package report_test

import (
	"bytes"
	"encoding/csv"
	"html"
	"regexp"
	"strings"
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

// readable is the text of a page, axes and texts of its charts included.
func readable(page []byte) string {
	names := strings.Join(regexp.MustCompile(`"name":"[^"]*"`).FindAllString(string(page), -1), "\n")
	return strings.ReplaceAll(html.UnescapeString(tags.ReplaceAllString(string(page), "\n")+names), "\u00a0", " ")
}

// No figure on inch-pound pages is in another unit, but on the page about method, which
// explains the dataset as it is.
func TestInchPoundPagesHaveNoOtherUnits(t *testing.T) {
	metric := regexp.MustCompile(`[\d.]+ (K|°C|kg|bar|kPa|m)\b.{0,20}|, (K|°C|bar gauge|bar absolute|kJ/kg)\b`)
	for name, page := range fleetPages(t, report.Options{Units: "IP"}) {
		if hit := metric.FindString(strings.ReplaceAll(readable(page), "Its unit is not the column's, °C", "")); hit != "" && name != "method.html" {
			t.Errorf("%s: %q", name, hit)
		}
	}
}

// The same figures in both systems of units: differences times 1.8, temperatures with 32
// besides, gauge pressures by 6.894757 kPa/psi above 99.8946 kPa, the standard atmosphere
// at 120 m (ISO 2533:1975; NIST SP 811, appendix B.8).
func TestInchPoundFigures(t *testing.T) {
	const path = "system/QH-CR2.html"
	for _, c := range []struct {
		options report.Options
		want    []string
	}{
		{report.Options{}, []string{"Subcooling is falling: −2.6 K (−3.3 to −1.9 K) over 9 visits", "evaporates at −8.5 °C and condenses at 45.7 °C", "Pressure, bar gauge", "Pressure, bar absolute", "+0.07 K per K of outdoor temperature", "charge added, 1.40 kg", "120 m"}},
		{report.Options{Units: "IP"}, []string{"Subcooling is falling: −4.7 °F (−5.9 to −3.4 °F) over 9 visits", "evaporates at 16.8 °F and condenses at 114.2 °F", "Pressure, psig", "Pressure, psia", "+0.07 °F per °F of outdoor temperature", "charge added, 3.09 lb", "394 ft", "Subcooling fell by 4.7 °F (−5.9 to −3.4)"}},
		{report.Options{Units: "IP", Pressure: "absolute"}, []string{"Pressure, psia"}},
	} {
		text := readable(fleetPages(t, c.options)[path])
		for _, want := range c.want {
			if !strings.Contains(text, want) {
				t.Errorf("%+v: the page does not say %q", c.options, want)
			}
		}
	}
}

// Pages always say what a pressure is counted from.
func TestPressuresSayTheirReference(t *testing.T) {
	bare := regexp.MustCompile(`[\d.]+ (bar|psi)\b( [a-z]+)?`)
	for _, o := range []report.Options{{}, {Pressure: "absolute"}, {Units: "IP"}, {Units: "IP", Pressure: "absolute"}} {
		for name, page := range fleetPages(t, o) {
			for _, hit := range bare.FindAllString(readable(page), -1) {
				if name != "method.html" && !strings.HasSuffix(hit, " gauge") && !strings.HasSuffix(hit, " absolute") {
					t.Errorf("%+v, %s: %q", o, name, hit)
				}
			}
		}
	}
}

// The visit list says by its head in which unit a size is.
func TestVisitListSaysItsUnit(t *testing.T) {
	rows := map[string][][]string{}
	for _, units := range []string{"SI", "IP"} {
		b, err := writer(t, report.Options{Units: units}).VisitsCSV(reporttest.Fleet(1))
		if err != nil {
			t.Fatal(err)
		}
		if rows[units], err = csv.NewReader(bytes.NewReader(bytes.TrimPrefix(b, []byte("\ufeff")))).ReadAll(); err != nil {
			t.Fatal(err)
		}
	}
	for i, head := range rows["SI"][0] {
		if !strings.HasPrefix(head, "size") {
			continue
		}
		if ip := rows["IP"][0][i]; strings.TrimSuffix(head, "_k") != strings.TrimSuffix(ip, "_f") || head == ip {
			t.Errorf("the head %q is %q in inch-pound units", head, ip)
		}
	}
	if si, ip := rows["SI"][1][7], rows["IP"][1][7]; si != "-2.60" || ip != "-4.68" {
		t.Errorf("the size is %s K and %s °F, want -2.60 and -4.68", si, ip)
	}
}
