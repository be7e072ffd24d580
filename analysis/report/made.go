package report

import (
	"fmt"
	"time"

	"rimelog/analysis/say"
)

// madeView is the foot of a page: how its figures came about.
type madeView struct {
	AsOf, Zone string
	Steps      []string
	Inputs     []Input
	Engine     bool   // whether the chart engine is in this build
	Weather    string // what the part of the weather was taken out by; empty where that differs
}

func (m Made) view(l say.Locale) madeView { return m.in(l, time.UTC) }

func (m Made) in(l say.Locale, zone *time.Location) madeView {
	v := madeView{AsOf: l.Day(m.AsOf, m.AsOf.Location()), Zone: zone.String(), Inputs: m.Inputs}
	for _, s := range m.Steps {
		v.Steps = append(v.Steps, fmt.Sprintf("%s %d", s.Name, s.Version))
	}
	return v
}
