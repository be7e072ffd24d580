package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/energy"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/report/say"
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
type savingView struct{ Head, Size, Detail string }

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
			return capital(seasonChange(r)) + "."
		}
	}
	if n := len(seasons); n > 0 {
		r := seasons[n-1]
		return fmt.Sprintf("In %s its COP was %s (%s); there is no season before to hold it against.", seasonName(r.Season), say.Number(r.COP, 2), copInterval(r))
	}
	return "No season has windows enough for a COP."
}

// seasonChange is what changed from the same half-year before.
func seasonChange(r table.Season) string {
	what := map[string]string{energy.Better: "better", energy.Worse: "worse", energy.WithinNoise: "within noise"}[r.Verdict]
	return fmt.Sprintf("%s was %s than %s at the same outdoor temperatures: COP %s, %s", seasonName(r.Season), thanWord(what), seasonName(r.Against),
		say.With(say.Signed(r.Change, 1), "%"), say.Interval(r.ChangeLo, r.ChangeHi, 1, "%"))
}

func thanWord(verdict string) string {
	if verdict == "within noise" {
		return "neither better nor worse"
	}
	return verdict
}

// months puts the half-years into words.
var months = map[string]string{"Oct-Mar": "October to March ", "Apr-Sep": "April to September "}

// seasonName writes "2024/25 Oct-Mar" as "October to March 2024/25".
func seasonName(s string) string {
	for short, long := range months {
		if rest, ok := strings.CutSuffix(s, " "+short); ok {
			return long + rest
		}
	}
	return s
}

func copInterval(r table.Season) string {
	if math.IsNaN(r.COPLo) {
		return "too few days for an interval"
	}
	return say.Range(r.COPLo, r.COPHi, 2, "") + " at 90 %"
}

// energyAbout says what a COP here is.
func (s System) energyAbout() string {
	seasons := wholes(s.Seasons)
	if len(seasons) == 0 {
		return ""
	}
	r := seasons[len(seasons)-1]
	text := fmt.Sprintf("COP is useful heat over electricity, %s, found by %s; it counts the electricity of the %s.", r.Mode, theRoute(r.Route), boundaryText(r.Boundary))
	return text + " Figures of another boundary or route are never held against it."
}

func theRoute(route string) string {
	switch route {
	case "refrigerant states":
		return "the refrigerant’s states alone (the shell’s loss assumed)"
	case "air side":
		return "the air side"
	}
	return "the " + route
}

func boundaryText(b string) string {
	switch b {
	case "compressor":
		return "compressor alone"
	case "unknown":
		return "meter, of which the register does not say what it covers"
	}
	return b
}

// seasonChart is COP over outdoor temperature by seasons.
func (s System) seasonChart(k seasonSort) chart.Seasons {
	c := chart.Seasons{ID: "seasons-" + k.mode + map[bool]string{true: "", false: "-" + letters(k.route+k.boundary)}[k == seasonSorts(s.Seasons)[0]], Axis: "Outdoor temperature, °C",
		Finding: s.energyLede(),
		About:   fmt.Sprintf("Whiskers are 90 %% intervals, instruments included: between seasons with the same instruments most of it cancels. %s; boundary: %s.", capital(theRoute(k.route)), boundaryText(k.boundary))}
	if len(s.Seasons) > 0 && s.Seasons[0].Axis == energy.AxisLift {
		c.Axis = "Lift, K"
	}
	for _, r := range s.Seasons {
		if r.What != energy.OneBin || k != (seasonSort{r.Mode, r.Route, r.Boundary}) {
			continue
		}
		n := len(c.Seasons)
		if n == 0 || c.Seasons[n-1].Name != seasonName(r.Season) {
			c.Seasons = append(c.Seasons, chart.BinnedSeason{Name: seasonName(r.Season)})
			n++
		}
		c.Seasons[n-1].Bins = append(c.Seasons[n-1].Bins, chart.BinPoint{From: r.Lo, To: r.Hi, COP: r.COP, Lo: r.COPLo, Hi: r.COPHi, KW: r.Power, Windows: r.Windows, Days: r.Days})
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
	t := chart.Table{Caption: "COP by seasons", Head: []string{"Season", "What", "COP", "90 % interval", "Power, kW", "Days", "kWh of complete days", "in the weather of the season before", "Against the same half-year before", "Note"}}
	for _, r := range s.Seasons {
		if r.What == energy.OneBin {
			continue
		}
		change := "–"
		if !math.IsNaN(r.Change) {
			change = say.With(say.Signed(r.Change, 1), "%") + ", " + say.Interval(r.ChangeLo, r.ChangeHi, 1, "%") + ": " + r.Verdict
		}
		t.Rows = append(t.Rows, []string{seasonName(r.Season), r.Mode + ", " + r.What, say.Number(r.COP, 2), say.Range(r.COPLo, r.COPHi, 2, ""), say.Number(r.Power, 2), say.Thousands(r.Days), kwhOf(r), say.Number(r.Normal, 0), change, r.Note})
	}
	return t
}

// kwhOf is the electricity of a season's complete days, with how many they are.
func kwhOf(r table.Season) string {
	if math.IsNaN(r.KWh) {
		return "–"
	}
	return say.Number(r.KWh, 0) + " in " + say.Count(int(r.KWhDays), "day")
}

// saving puts an event into words.
func (s System) saving(r table.Saving) savingView {
	v := savingView{Head: capital(r.Event) + ", " + say.Day(r.On, s.Zone())}
	if !r.Stated {
		v.Size = "No saving is stated: " + r.Why + "."
	} else {
		v.Size = fmt.Sprintf("%s kWh avoided in %s, %s at 90 %%", say.Number(r.Avoided, 0), say.Count(int(r.After), "day"), say.Range(r.Lo90, r.Hi90, 0, "kWh"))
		if !math.IsNaN(r.Money) {
			v.Size += "; " + say.Number(r.Money, 0) + " " + r.Unit + ", " + say.Range(r.MoneyLo, r.MoneyHi, 0, "")
		}
		if !math.IsNaN(r.CO2e) {
			v.Size += "; " + say.With(say.Number(r.CO2e, 2), "t CO2e") + ", " + say.Range(r.CO2eLo, r.CO2eHi, 2, "")
		}
		v.Size += "."
	}
	if r.Model != "" {
		v.Detail = fmt.Sprintf("Model of the %s before: %s of daily electricity over outdoor temperature, CV(RMSE) %s, NMBE %s, residuals follow each other by %s; 68 %%: %s, 95 %%: %s. %s left out for weather not seen before.",
			say.Count(int(r.Before), "day"), r.Model, say.With(say.Number(r.CV, 1), "%"), say.With(say.Number(r.NMBE, 1), "%"), say.Number(r.Rho, 2),
			say.Range(r.Lo68, r.Hi68, 0, "kWh"), say.Range(r.Lo95, r.Hi95, 0, "kWh"), capital(say.Count(int(r.Outside), "day")))
	}
	return v
}

// lossTable lists where the electricity goes.
func (s System) lossTable() chart.Table {
	t := chart.Table{Caption: "Where the compressor’s electricity goes", Head: []string{"Part", "Size, K", "Share, %", "kWh a year", "Cost a year", "Own best, K", "Restoring it saves, %", "Saved a year"}}
	for _, r := range s.Losses {
		t.Rows = append(t.Rows, []string{capital(r.Part), say.Number(r.K, 1), say.Number(r.Share, 1), say.Number(r.KWh, 0), money(r.Cost, r.Currency), say.Number(r.Best, 1), say.Number(r.Gain, 1), money(r.GainCost, r.Currency)})
	}
	return t
}

func money(v float64, currency string) string {
	if math.IsNaN(v) {
		return "–"
	}
	return say.Number(v, 0) + " " + cmp.Or(currency, "")
}
