package reporttest

import (
	"fmt"
	"math"
	"time"

	"rimelog/analysis/energy"
	"rimelog/analysis/report"
	"rimelog/pipeline/table"
)

var nan = math.NaN()

// addEnergy gives the machines with a power meter their seasons, one of them an event
// and where its electricity goes, and the two milk chillers a ranking.
func addEnergy(f *report.Fleet) {
	for i := range f.Systems {
		s := &f.Systems[i]
		switch s.Register.ID {
		case "LM-PK1":
			s.Seasons = append(seasons(2.9, ""), seasons(2.7, "2023/24 Oct-Mar")...)
			s.Savings, s.Losses = savings(), energyLosses()
		case "FD-CH1", "FD-CH2":
			s.Seasons = seasons(3.4, "")
		}
	}
	for i, id := range []string{"FD-CH2", "FD-CH1"} {
		p := 6 - 12*float64(i)
		f.Rankings = append(f.Rankings, table.Ranking{Group: "chiller, R290, cooling, by refrigerant states, boundary: compressor", System: id, Rank: int64(i + 1),
			Sets: string(rune('a' + i)), Percent: p, Lo: p - 4, Hi: p + 4, COP: 3.4, KWh: 18000, Gain: []float64{nan, 6}[i], GainKWh: nan, GainCost: nan, Bins: 6})
	}
}

// seasons is a half-year with its bins, held against another where there is one.
func seasons(level float64, against string) []table.Season {
	year := 2023
	if against != "" {
		year++
	}
	base := table.Season{Season: fmt.Sprintf("%d/%02d Oct-Mar", year, year-1999), From: time.Date(year, 10, 1, 0, 0, 0, 0, time.UTC), To: time.Date(year+1, 4, 1, 0, 0, 0, 0, time.UTC),
		Mode: energy.Cooling, Route: "refrigerant states", Boundary: "compressor", Axis: energy.AxisOutdoor, Lo: nan, Hi: nan, Change: nan, ChangeLo: nan, ChangeHi: nan,
		COP: level, COPLo: level * 0.95, COPHi: level * 1.05, SE: 0.02, U: 0.08, Power: 4, PowerSE: 0.1, KWh: 9000, KWhDays: 150, Degrees: 1500, Normal: nan, Windows: 900, Days: 150, Hours: 75}
	whole := base
	whole.What, whole.Verdict, whole.Note = energy.WholeSeason, energy.NotCompared, "no season before"
	if against != "" {
		whole.Against, whole.Verdict, whole.Note = against, energy.Worse, "common bins hold 92 % of both seasons' windows"
		whole.Change, whole.ChangeLo, whole.ChangeHi, whole.Common = -6.8, -8.1, -5.4, 7
	}
	rows := []table.Season{whole}
	for from := -4.0; from < 12; from += 2 {
		b := base
		b.What, b.Lo, b.Hi, b.Windows, b.Days = energy.OneBin, from, from+2, 90, 20
		b.COP = level * math.Exp(-0.025*(from-3))
		b.COPLo, b.COPHi = b.COP*0.94, b.COP*1.06
		rows = append(rows, b)
	}
	return rows
}

func savings() []table.Saving {
	on := time.Date(2025, 3, 4, 8, 0, 0, 0, time.UTC)
	none := table.Saving{Event: "setpoint changed", On: on.AddDate(0, -8, 0), Why: "9 complete days before and 60 after: want 28 and 14", After: 60}
	stated := table.Saving{Event: "coil cleaned", On: on, Stated: true, Model: "3P cooling", Point: 8.2, CV: 7.4, Rho: 0.3, Before: 200, After: 120, Outside: 4,
		Actual: 9000, Expect: 10100, Avoided: 1100, U: 150, Lo68: 950, Hi68: 1250, Lo90: 850, Hi90: 1350, Lo95: 800, Hi95: 1400,
		Money: 330, MoneyLo: 255, MoneyHi: 405, Unit: "EUR", CO2e: 0.4, CO2eLo: 0.3, CO2eHi: 0.5}
	return []table.Saving{none, stated}
}

func energyLosses() (rows []table.Loss) {
	for i, part := range []string{energy.CarnotWork, energy.EvaporatorLoss, energy.CondenserLoss, energy.HeadPressureFloor, energy.CycleLoss, energy.SuperheatLoss,
		energy.SubcoolingLoss, energy.SuctionLineLoss, energy.CompressorLosses} {
		rows = append(rows, table.Loss{Part: part, K: float64(12 - i), Share: []float64{22, 11, 18, 4, 14, 1, -2, 2, 30}[i], KWh: 900, Cost: 270, Currency: "EUR",
			Best: float64(10 - i), Gain: 2, GainKWh: 180, GainCost: 54})
	}
	return rows
}
