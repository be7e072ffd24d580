package clock

import (
	"rimelog/ingest/scan"
	"strings"
	"time"
)

// zoneNames holds, for an abbreviation, a zone of the time zone database that uses it.
// Only abbreviations are listed that all zones of the database use for one offset
// (2024a): CST, IST and the like mean several. MEZ, MESZ, HNE and HAE are what German
// and Canadian French call CET, CEST, EST and EDT; OEZ and OESZ are EET and EEST.
var zoneNames = zoneTable(map[string]string{
	"Europe/Lisbon": "WET WEST", "Europe/London": "BST", "Europe/Paris": "CET CEST MEZ MESZ", "Europe/Helsinki": "EET EEST OEZ OESZ", "Europe/Moscow": "MSK",
	"America/New_York": "EST EDT HNE HAE", "America/Chicago": "CDT", "America/Denver": "MST MDT", "America/Los_Angeles": "PDT",
	"America/Anchorage": "AKST AKDT", "Pacific/Honolulu": "HST", "Australia/Sydney": "AEST AEDT", "Australia/Adelaide": "ACST ACDT", "Australia/Perth": "AWST",
	"Pacific/Auckland": "NZST NZDT", "Asia/Tokyo": "JST", "Africa/Johannesburg": "SAST", "Asia/Hong_Kong": "HKT",
})

// ZoneOf names, for an abbreviation, a zone of the time zone database that uses it.
func ZoneOf(abbreviation string) (zone string, known bool) {
	zone, known = zoneNames[abbreviation]
	return zone, known
}

func zoneTable(lists map[string]string) map[string]string {
	m := map[string]string{}
	for zone, list := range lists {
		for _, w := range strings.Fields(list) {
			m[w] = zone
		}
	}
	return m
}

// englishName is what the database calls an abbreviation of another language.
func englishName(abbreviation string) string {
	switch abbreviation {
	case "MEZ":
		return "CET"
	case "MESZ":
		return "CEST"
	case "OEZ":
		return "EET"
	case "OESZ":
		return "EEST"
	case "HNE":
		return "EST"
	case "HAE":
		return "EDT"
	}
	return abbreviation
}

// NamedZone is the zone that an abbreviation names wherever it is used.
func NamedZone(abbreviation string) (*time.Location, bool) {
	name, ok := zoneNames[abbreviation]
	if !ok {
		return nil, false
	}
	loc, err := time.LoadLocation(name)
	return loc, err == nil
}

// regions are where the cities of a zone's long name are looked for.
var regions = []string{"Europe/", "America/", "Asia/", "Australia/", "Africa/", "Pacific/", "Atlantic/"}

// northAmerican are the long names of zones without a city, folded.
var northAmerican = map[string]string{
	"eastern time": "America/New_York", "central time": "America/Chicago", "mountain time": "America/Denver", "pacific time": "America/Los_Angeles",
}

// LongZone reads a zone as operating systems show it: "(UTC+01:00) Berlin, Rome". Its
// offset is that of winter; the cities tell which zone is meant.
func LongZone(text string) (ZoneRule, bool, bool) {
	open, end := strings.IndexByte(text, '('), strings.IndexByte(text, ')')
	if open != 0 || end < 0 {
		return ZoneRule{}, false, false
	}
	places := strings.TrimSpace(text[end+1:])
	if places == "" {
		return ZoneRule{}, false, false
	}
	for _, place := range strings.Split(places, ",") {
		name, _, _ := strings.Cut(strings.TrimSpace(place), " (")
		if zone, ok := northAmerican[scan.Fold(name)]; ok {
			name = zone
		}
		for _, region := range append([]string{""}, regions...) {
			zone := region + strings.ReplaceAll(name, " ", "_")
			if !strings.Contains(zone, "/") {
				continue
			}
			if loc, err := time.LoadLocation(zone); err == nil {
				return ZoneRule{Loc: loc, Name: zone, Why: "the zone of " + name}, true, true
			}
		}
	}
	return ZoneRule{}, true, false
}
