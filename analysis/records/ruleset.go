package records

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"
	"time"

	"rimelog/thermo"
)

// The standings of a rule.
const (
	Seen       = "seen"                          // its text was read
	FromMemory = "from memory, check before use" // it was not
)

// What a rule tests.
const (
	TonnesCO2e = "t CO2e"       // the group's part of the charge, in t CO2 equivalent
	Kilograms  = "kg"           // the group's part of the charge
	WholeKG    = "kg of charge" // the whole charge, where it holds any of the group
)

// A Day is a calendar day, written as "2024-03-11".
type Day struct{ Time time.Time }

// UnmarshalText reads a day.
func (d *Day) UnmarshalText(text []byte) (err error) {
	d.Time, err = time.Parse(time.DateOnly, string(text))
	return err
}

// MarshalText writes a day.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.Time.Format(time.DateOnly)), nil }

// A Source says where a rule stands and from when to when it holds; without days,
// as long as its set.
type Source struct {
	Text     string `json:"text"`     // the passage
	Standing string `json:"standing"` // Seen or FromMemory
	Note     string `json:"note,omitempty"`
	From     *Day   `json:"valid_from,omitempty"`
	To       *Day   `json:"valid_to,omitempty"`
}

// A RuleSet is the rules of one law in one jurisdiction over one period.
type RuleSet struct {
	ID           string   `json:"id"`
	Jurisdiction string   `json:"jurisdiction"`
	Title        string   `json:"title"`
	Note         string   `json:"note,omitempty"`
	HoldsIn      []string `json:"holds_in"`         // codes of jurisdictions, as the register has them
	Except       []string `json:"except,omitempty"` // parts of these in which it does not hold
	From         Day      `json:"valid_from"`
	To           *Day     `json:"valid_to,omitempty"` // last day

	GWPSet string              `json:"gwp_set,omitempty"` // AR4, AR5 or EU 2024/573; empty where the law has none
	GWP    map[string]float64  `json:"gwp,omitempty"`     // of single substances, in place of the set's
	Groups map[string][]string `json:"groups,omitempty"`  // substances by the name of their list

	LeakChecks  []LeakCheckRule `json:"leak_checks,omitempty"`
	Detection   []DetectionRule `json:"detection,omitempty"`
	Repair      *RecheckRule    `json:"repair,omitempty"`
	Presumption *Source         `json:"presumption,omitempty"`
	Bans        []BanRule       `json:"bans,omitempty"`
	LeakRates   *LeakRateRule   `json:"leak_rates,omitempty"`
	LossLimits  *LossLimitRule  `json:"loss_limits,omitempty"`
	Records     *RecordRule     `json:"records,omitempty"`

	SHA256 string `json:"-"` // of the file's bytes
	Text   string `json:"-"` // the file as it is
}

// A LeakCheckRule asks for leak checks at intervals, by how much of a group a
// system holds.
type LeakCheckRule struct {
	Source
	Group   string      `json:"group"`
	Measure string      `json:"measure"`
	Classes []Class     `json:"classes"` // rising
	Exempt  []Exemption `json:"exempt,omitempty"`
}

// A Class is the interval from an amount on.
type Class struct {
	From          float64 `json:"from"`
	Months        int     `json:"every_months"`
	WithDetection int     `json:"with_detection_months"` // where a leak detection system is fitted
}

// An Exemption frees a system below an amount.
type Exemption struct {
	Source
	Hermetic    bool    `json:"hermetic"`              // only if hermetically sealed and labelled so
	Residential bool    `json:"residential,omitempty"` // only in residential buildings
	Below       float64 `json:"below"`
}

// A DetectionRule asks for a fixed leak detection system, and for its own check.
type DetectionRule struct {
	Source
	Group   string  `json:"group"`
	Measure string  `json:"measure"`
	From    float64 `json:"from"`
	Months  int     `json:"check_every_months"`
}

// A RecheckRule asks for a check after a repair.
type RecheckRule struct {
	Source
	NotBeforeHours int `json:"not_before_hours"`
	WithinMonths   int `json:"within_months"`
}

// A BanRule bans refrigerants from service.
type BanRule struct {
	Source
	GWPFrom        float64  `json:"gwp_from"`
	Group          string   `json:"group,omitempty"` // only what holds any of it
	Uses           []string `json:"uses"`            // refrigeration, air conditioning, heat pump
	ExceptChillers bool     `json:"except_chillers,omitempty"`
	CO2eFrom       float64  `json:"co2e_from_t,omitempty"` // only from this charge on, t CO2 equivalent
	Banned         string   `json:"banned"`
	Allowed        string   `json:"allowed"`
}

// A LeakRateRule limits the leak rate by use.
type LeakRateRule struct {
	Source
	Group       string           `json:"group"`
	OrGWPAbove  float64          `json:"or_gwp_above,omitempty"`  // also what holds none of the group,
	ButNotGroup string           `json:"but_not_group,omitempty"` // unless it holds any of this one
	FromKG      float64          `json:"charge_from_kg"`
	Limits      []UseLimit       `json:"limits"`
	Repair      RepairRule       `json:"repair"`
	Inspections []InspectionRule `json:"inspections"`
	Chronic     ChronicRule      `json:"chronic"`
}

// A UseLimit is a limit in % a year for one use, by the register's word.
type UseLimit struct {
	Use string  `json:"use"`
	Pct float64 `json:"pct"`
}

// A RepairRule says by when a system above its limit is repaired and tested.
type RepairRule struct {
	Source
	Days         int `json:"days"`
	ShutdownDays int `json:"shutdown_days"` // where an industrial process must be shut down
	FollowUpDays int `json:"follow_up_days"`
}

// An InspectionRule asks for leak inspections after a limit was passed.
type InspectionRule struct {
	Source
	Uses   []string `json:"uses"`
	FromKG float64  `json:"from_kg,omitempty"`
	Below  float64  `json:"below_kg,omitempty"` // 0: no end
	Months int      `json:"every_months"`
	Until  int      `json:"until_months"` // without passing the limit again
}

// A ChronicRule says what makes a chronic leaker.
type ChronicRule struct {
	Source
	Pct      float64 `json:"pct"`       // of the full charge in a calendar year
	ReportBy string  `json:"report_by"` // month and day of the next year, "03-01"
}

// A LossLimitRule limits what may be lost in a year, by charge.
type LossLimitRule struct {
	Source
	Group   string      `json:"group"`
	Classes []LossClass `json:"classes"` // rising
}

// A LossClass is the limit from a charge on.
type LossClass struct {
	FromKG float64 `json:"from_kg"`
	Pct    float64 `json:"pct"`
}

// A RecordRule says what records must hold.
type RecordRule struct {
	Source
	Years   int           `json:"keep_years"`
	Require []Requirement `json:"require"`
}

// A Requirement asks for columns of a system's row, or of its events of some kinds.
type Requirement struct {
	Text      string   `json:"text"`
	System    []string `json:"system,omitempty"`    // columns of systems.csv
	Events    []string `json:"events,omitempty"`    // by the register's words
	Qualities []string `json:"qualities,omitempty"` // only for these
	Columns   []string `json:"columns,omitempty"`   // of events.csv
}

// ParseRuleSet reads a rule set. The error names every field that is unknown or
// cannot be.
func ParseRuleSet(b []byte) (RuleSet, error) {
	var s RuleSet
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&s); err != nil {
		return RuleSet{}, err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return RuleSet{}, errors.New("more than one JSON value")
	}
	if err := s.validate(); err != nil {
		return RuleSet{}, err
	}
	s.SHA256, s.Text = hash(string(b)), string(b)
	return s, nil
}

// gwpSets are the sets of global warming potentials by the names rule sets use.
func gwpSets() []thermo.GWPSet {
	return []thermo.GWPSet{thermo.GWPAR4, thermo.GWPAR5, thermo.GWPEU2024}
}

func (s RuleSet) gwpSet() (thermo.GWPSet, bool) {
	sets := gwpSets()
	i := slices.IndexFunc(sets, func(g thermo.GWPSet) bool { return g.String() == s.GWPSet })
	if i < 0 {
		return 0, false
	}
	return sets[i], true
}

// on tells whether a rule of the set holds on a day.
func (s RuleSet) on(r Source, day time.Time) bool {
	return s.valid(day) && (r.From == nil || !day.Before(r.From.Time)) && (r.To == nil || !day.After(r.To.Time))
}

// valid tells whether the set is in force on a day.
func (s RuleSet) valid(day time.Time) bool {
	return !day.Before(s.From.Time) && (s.To == nil || !day.After(s.To.Time))
}

// passage names a rule for people.
func (s RuleSet) passage(r Source) string { return s.Title + ", " + r.Text }

// holds tells whether the set holds in a jurisdiction: by its code, or by that of
// the country before the hyphen.
func (s RuleSet) holds(code string) bool {
	if slices.Contains(s.Except, code) {
		return false
	}
	country, _, _ := strings.Cut(code, "-")
	return slices.Contains(s.HoldsIn, code) || slices.Contains(s.HoldsIn, country)
}

// Sources are where the rules of the set stand, in the order of the file.
func (s RuleSet) Sources() (out []Source) {
	for _, r := range s.LeakChecks {
		out = append(out, r.Source)
		for _, e := range r.Exempt {
			out = append(out, e.Source)
		}
	}
	for _, r := range s.Detection {
		out = append(out, r.Source)
	}
	if s.Repair != nil {
		out = append(out, s.Repair.Source)
	}
	if s.Presumption != nil {
		out = append(out, *s.Presumption)
	}
	for _, r := range s.Bans {
		out = append(out, r.Source)
	}
	if r := s.LeakRates; r != nil {
		out = append(out, r.Source, r.Repair.Source)
		for _, i := range r.Inspections {
			out = append(out, i.Source)
		}
		out = append(out, r.Chronic.Source)
	}
	if s.LossLimits != nil {
		out = append(out, s.LossLimits.Source)
	}
	if s.Records != nil {
		out = append(out, s.Records.Source)
	}
	return out
}
