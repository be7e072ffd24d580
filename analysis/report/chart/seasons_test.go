package chart

// someSeasons are more seasons than one chart shows, one bin without an interval, and
// a name that means harm.
func someSeasons() Seasons {
	s := Seasons{ID: "seasons", Finding: "The last was worse.", About: "About it.", Axis: "Outdoor temperature, °C"}
	for i, name := range []string{"one", "two", "three", "four", `</script>__f__`} {
		season := BinnedSeason{Name: name}
		for from := 0.0; from < 8; from += 2 {
			cop := 3 - 0.05*from - 0.1*float64(i)
			season.Bins = append(season.Bins, BinPoint{From: from, To: from + 2, COP: cop, Lo: cop - 0.2, Hi: cop + 0.2, KW: 2, Windows: 40, Days: 12})
		}
		season.Bins[1].Lo, season.Bins[1].Hi = nan, nan
		s.Seasons = append(s.Seasons, season)
	}
	return s
}

func aRanking() Ranking {
	r := Ranking{ID: "group-1", Finding: "B is the wasteful one.", About: "About it.", Group: "cold room"}
	for i, id := range []string{"A", `</script>__f__`, "B"} {
		p := 8 - 9*float64(i)
		r.Places = append(r.Places, Place{System: id, Sets: "ab"[i/2 : i/2+1], Percent: p, Lo: p - 3, Hi: p + 3, COP: 3, KWh: 9000, Gain: nan, Cost: "–"})
	}
	return r
}
