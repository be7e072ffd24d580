package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/energy"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// energyView is what the page of a system says about its energy; nil where nothing
// is known of it.
type energyView struct {
	Lede    string
	About   string
	Charts  []figureView
	Seasons chart.Table
	Savings []savingView
	Losses  chart.Table
}

// A savingView is one event in words.
type savingView struct {
	Head, Size, Detail string
	Stated             bool
}

// energy puts the system's energy into words and figures.
func (s System) energy() (*energyView, error) {
	if len(s.Seasons) == 0 && len(s.Savings) == 0 && len(s.Losses) == 0 {
		return nil, nil
	}
	v := &energyView{Lede: s.energyLede(), About: s.energyAbout(), Seasons: s.seasonTable(), Losses: s.lossTable()}
	for _, row := range s.Savings {
		v.Savings = append(v.Savings, s.saving(row))
	}
	for _, kind := range seasonSorts(s.Seasons) {
		c, err := s.seasonChart(kind).Draw()
		if err != nil {
			return nil, err
		}
		v.Charts = append(v.Charts, figureView{Chart: c})
	}
	return v, nil
}

// A seasonSort is what seasons must share to stand in one chart.
type seasonSort struct{ mode, route, boundary string }

func seasonSorts(rows []table.Season) (out []seasonSort) {
	for _, r := range rows {
		if k := (seasonSort{r.Mode, r.Route, r.Boundary}); r.What == energy.OneBin && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// wholes are the rows of whole seasons, the latest last.
func wholes(rows []table.Season) (out []table.Season) {
	for _, r := range rows {
		if r.What == energy.WholeSeason {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(a, b table.Season) int { return a.From.Compare(b.From) })
	return out
}

// energyLede says the newest that is known.
func (s System) energyLede() string {
	seasons := wholes(s.Seasons)
	for i := len(seasons) - 1; i >= 0; i-- {
		if r := seasons[i]; r.Verdict == energy.Better || r.Verdict == energy.Worse || r.Verdict == energy.WithinNoise {
			return capital(seasonChange(s.say, r)) + "."
		}
	}
	if n := len(seasons); n > 0 {
		r := seasons[n-1]
		return s.say.Text("In %s its COP was %s (%s); there is no season before to hold it against.", seasonName(s.say, r.Season), s.say.Number(r.COP, 2), copInterval(s.say, r))
	}
	return s.say.Text("No season has windows enough for a COP.")
}

// seasonChange is what changed from the same half-year before.
func seasonChange(l say.Locale, r table.Season) string {
	what := map[string]say.Text{
		energy.Better:      "%s was better than %s at the same outdoor temperatures: COP %s, %s",
		energy.Worse:       "%s was worse than %s at the same outdoor temperatures: COP %s, %s",
		energy.WithinNoise: "%s was neither better nor worse than %s at the same outdoor temperatures: COP %s, %s",
	}[r.Verdict]
	return l.Text(what, seasonName(l, r.Season), seasonName(l, r.Against),
		l.With(l.Signed(r.Change, 1), "%"), l.Interval(r.ChangeLo, r.ChangeHi, 1, "%"))
}

// months puts the half-years into words.
var months = map[string]say.Text{"Oct-Mar": "October to March %s", "Apr-Sep": "April to September %s"}

// seasonName writes "2024/25 Oct-Mar" as "October to March 2024/25".
func seasonName(l say.Locale, s string) string {
	for short, long := range months {
		if rest, ok := strings.CutSuffix(s, " "+short); ok {
			return l.Text(long, rest)
		}
	}
	return s
}

func copInterval(l say.Locale, r table.Season) string {
	if math.IsNaN(r.COPLo) {
		return l.Text("too few days for an interval")
	}
	return l.Text("%s at 90 %%", copRange(l, r.COPLo, r.COPHi))
}

// energyAbout says what a COP here is.
func (s System) energyAbout() string {
	seasons := wholes(s.Seasons)
	if len(seasons) == 0 {
		return ""
	}
	r := seasons[len(seasons)-1]
	return s.say.Text("COP is useful heat over electricity, %s, found by %s; it counts the electricity of the %s. Figures of another boundary or route are never held against it.",
		s.say.Prose(r.Mode), theRoute(s.say, r.Route), boundaryText(s.say, r.Boundary))
}

func theRoute(l say.Locale, route string) string {
	switch route {
	case "refrigerant states":
		return l.Text("the refrigerant’s states alone (the shell’s loss assumed)")
	case "air side":
		return l.Text("the air side")
	}
	return l.Text("the %s", l.Prose(route))
}

func boundaryText(l say.Locale, b string) string {
	switch b {
	case "compressor":
		return l.Text("compressor alone")
	case "unknown":
		return l.Text("meter, of which the register does not say what it covers")
	}
	return l.Prose(b)
}

// seasonChart is COP over outdoor temperature by seasons.
func (s System) seasonChart(k seasonSort) chart.Seasons {
	c := chart.Seasons{ID: "seasons-" + k.mode + map[bool]string{true: "", false: "-" + letters(k.route+k.boundary)}[k == seasonSorts(s.Seasons)[0]], Axis: s.say.Text("Outdoor temperature, %s", s.say.Unit(say.Temperature)), Say: s.say,
		Finding: s.energyLede(),
		About:   s.say.Text("Whiskers are 90 %% intervals, instruments included: between seasons with the same instruments most of it cancels. %s; boundary: %s.", capital(theRoute(s.say, k.route)), boundaryText(s.say, k.boundary))}
	of := say.Temperature
	if len(s.Seasons) > 0 && s.Seasons[0].Axis == energy.AxisLift {
		of, c.Axis = say.Difference, s.say.Text("Lift, %s", s.say.Unit(say.Difference))
	}
	for _, r := range s.Seasons {
		if r.What != energy.OneBin || k != (seasonSort{r.Mode, r.Route, r.Boundary}) {
			continue
		}
		n := len(c.Seasons)
		if n == 0 || c.Seasons[n-1].Name != seasonName(s.say, r.Season) {
			c.Seasons = append(c.Seasons, chart.BinnedSeason{Name: seasonName(s.say, r.Season)})
			n++
		}
		c.Seasons[n-1].Bins = append(c.Seasons[n-1].Bins, chart.BinPoint{From: s.say.In(of, r.Lo), To: s.say.In(of, r.Hi), COP: r.COP, Lo: r.COPLo, Hi: r.COPHi, KW: r.Power, Windows: r.Windows, Days: r.Days})
	}
	return c
}

// letters keeps the letters of a text, for the ID of a chart.
func letters(s string) string {
	var out []rune
	for _, r := range s {
		if r >= 'a' && r <= 'z' {
			out = append(out, r)
		}
	}
	return string(out)
}

// seasonTable lists the seasons and the seasonal figures.
func (s System) seasonTable() chart.Table {
	t := chart.Table{Caption: s.say.Text("COP by seasons"), Head: s.say.Texts("Season", "What", "COP", "90 % interval", "Power, kW", "Days", "kWh of complete days", "kWh in the weather of the season before", "Against the same half-year before", "Note")}
	for _, r := range s.Seasons {
		if r.What == energy.OneBin || r.What != energy.WholeSeason && math.IsNaN(r.COP) && math.IsNaN(r.KWh) {
			continue
		}
		change := "–"
		if !math.IsNaN(r.Change) {
			change = s.say.With(s.say.Signed(r.Change, 1), "%") + ", " + s.say.Interval(r.ChangeLo, r.ChangeHi, 1, "%") + ": " + s.say.Prose(r.Verdict)
		}
		t.Rows = append(t.Rows, []string{seasonName(s.say, r.Season), s.say.Prose(r.Mode) + ", " + s.say.Prose(r.What), s.say.Number(r.COP, 2), copRange(s.say, r.COPLo, r.COPHi), s.say.Number(r.Power, 2), s.say.Thousands(r.Days), kwhOf(s.say, r), s.say.Number(r.Normal, 0), change, s.say.Prose(r.Note)})
	}
	return t.Known(s.say)
}

// copRange is the interval of a COP, which has no lower end where it reaches down to none: too few
// windows tell nothing of it.
func copRange(l say.Locale, lo, hi float64) string {
	if lo <= 0 {
		return l.Text("up to %s", l.Number(hi, 2))
	}
	return l.Range(lo, hi, 2, "")
}

// kwhOf is the electricity of a season's complete days, with how many they are.
func kwhOf(l say.Locale, r table.Season) string {
	if math.IsNaN(r.KWh) {
		return "–"
	}
	return l.Text("%s in %s", l.Number(r.KWh, 0), l.Count(int(r.KWhDays), "day"))
}

// saving puts an event into words.
func (s System) saving(r table.Saving) savingView {
	v := savingView{Head: capital(s.say.Prose(r.Event)) + ", " + s.say.Day(r.On, s.Zone()), Stated: r.Stated}
	if !r.Stated {
		v.Size = s.say.Text("No saving is stated: %s.", s.say.Prose(r.Why))
	} else {
		v.Size = s.say.Text("%s kWh avoided in %s, %s at 90 %%", s.say.Number(r.Avoided, 0), s.say.Count(int(r.After), "day"), s.say.Range(r.Lo90, r.Hi90, 0, "kWh"))
		if !math.IsNaN(r.Money) {
			v.Size += "; " + s.say.Number(r.Money, 0) + " " + r.Unit + ", " + s.say.Range(r.MoneyLo, r.MoneyHi, 0, "")
		}
		if !math.IsNaN(r.CO2e) {
			v.Size += "; " + s.say.With(s.say.Number(r.CO2e, 2), "t CO2e") + ", " + s.say.Range(r.CO2eLo, r.CO2eHi, 2, "")
		}
		v.Size += "."
	}
	if r.Model != "" {
		v.Detail = s.say.Text("Model of the %s before: %s of daily electricity over outdoor temperature, CV(RMSE) %s, NMBE %s, residuals follow each other by %s; 68 %%: %s, 95 %%: %s. %s left out for weather not seen before.",
			s.say.Count(int(r.Before), "day"), s.say.Prose(r.Model), s.say.With(s.say.Number(r.CV, 1), "%"), s.say.With(s.say.Number(r.NMBE, 1), "%"), s.say.Number(r.Rho, 2),
			s.say.Range(r.Lo68, r.Hi68, 0, "kWh"), s.say.Range(r.Lo95, r.Hi95, 0, "kWh"), capital(s.say.Count(int(r.Outside), "day")))
	}
	return v
}

// lossTable lists where the electricity goes.
func (s System) lossTable() chart.Table {
	kelvin, size := s.say.Unit(say.Difference), func(k float64) string { return s.say.Number(s.say.In(say.Difference, k), 1) }
	t := chart.Table{Caption: s.say.Text("Where the compressor’s electricity goes"), Head: []string{s.say.Text("Part"), s.say.Text("Size, %s", kelvin), s.say.Text("Share, %"), s.say.Text("kWh a year"), s.say.Text("Cost a year"), s.say.Text("Own best, %s", kelvin), s.say.Text("Restoring it saves, %"), s.say.Text("Saved a year")}}
	for _, r := range s.Losses {
		t.Rows = append(t.Rows, []string{capital(s.say.Prose(r.Part)), size(r.K), s.say.Number(r.Share, 1), s.say.Number(r.KWh, 0), money(s.say, r.Cost, r.Currency), size(r.Best), s.say.Number(r.Gain, 1), money(s.say, r.GainCost, r.Currency)})
	}
	return t.Known(s.say)
}

func money(l say.Locale, v float64, currency string) string {
	if math.IsNaN(v) {
		return "–"
	}
	return l.Number(v, 0) + " " + cmp.Or(currency, "")
}
