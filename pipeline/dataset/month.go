package dataset

import (
	"sort"
	"time"
)

// A Month is a calendar month in UTC: the partition of a row by its time.
type Month struct {
	Name     string // "2024-03"
	From, To int64  // From <= t < To, in microseconds since 1970
}

// MonthOf returns the month of a time in microseconds since 1970.
func MonthOf(micros int64) Month {
	t := time.UnixMicro(micros).UTC()
	from := time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, time.UTC)
	return Month{from.Format("2006-01"), from.UnixMicro(), from.AddDate(0, 1, 0).UnixMicro()}
}

// ParseMonth returns the month of a name.
func ParseMonth(name string) (Month, error) {
	t, err := time.Parse("2006-01", name)
	if err != nil {
		return Month{}, err
	}
	return MonthOf(t.UnixMicro()), nil
}

// Months lists the months that sorted times fall in.
func Months(times []int64) []Month {
	var months []Month
	for len(times) > 0 {
		m := MonthOf(times[0])
		months = append(months, m)
		times = times[sort.Search(len(times), func(i int) bool { return times[i] >= m.To }):]
	}
	return months
}
