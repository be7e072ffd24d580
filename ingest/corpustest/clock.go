package corpustest

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// change is a known change of clocks: the moment in UTC. Source: IANA time zone
// database, files europe, northamerica and australasia: EU rules of 1996, US rules
// of 2007, AS rules of 2008.
type change struct {
	zone string
	utc  time.Time
	fold bool
}

var changes = []change{
	{"Europe/Berlin", time.Date(2025, 10, 26, 1, 0, 0, 0, time.UTC), true},
	{"Europe/Berlin", time.Date(2025, 3, 30, 1, 0, 0, 0, time.UTC), false},
	{"America/New_York", time.Date(2025, 11, 2, 6, 0, 0, 0, time.UTC), true},
	{"America/New_York", time.Date(2025, 3, 9, 7, 0, 0, 0, time.UTC), false},
	{"Australia/Adelaide", time.Date(2025, 4, 5, 16, 30, 0, 0, time.UTC), true},
	{"Australia/Adelaide", time.Date(2025, 10, 4, 16, 30, 0, 0, time.UTC), false},
}

// clock chooses zone, start and step, and makes the times of the rows.
func (m *maker) clock() {
	if m.is("zone", "fold", "gap", "no switch") {
		m.clockChange()
		return
	}
	m.zone = location(sites[m.rng.IntN(len(sites))])
	m.site = m.zone
	if m.is("zone", "preamble") || m.is("name holds", "zone") {
		hours := m.rng.IntN(22) - 10
		m.zone = time.FixedZone("", hours*3600)
	}
	if m.is("zone", "in stamps") { // the database calls its time by a name that no other zone uses
		m.zone = location([]string{"Europe/Berlin", "America/New_York"}[m.rng.IntN(2)])
	}
	if m.is("zone", "unknown", "in stamps") {
		m.site = nil
	}
	start := m.start()
	step := m.step()
	for i := range m.rowCount() {
		m.times = append(m.times, start.Add(time.Duration(i)*step).UTC())
	}
	m.sequence(step)
}

// location is a zone of the database, which the program holds.
func location(name string) *time.Location {
	loc, err := time.LoadLocation(name)
	if err != nil {
		panic("corpustest: " + err.Error())
	}
	return loc
}

// clockChange lets the file run over a change of clocks.
func (m *maker) clockChange() {
	var fit []change
	for _, c := range changes {
		if m.is("zone", "no switch") || c.fold == m.is("zone", "fold") {
			fit = append(fit, c)
		}
	}
	c := fit[m.rng.IntN(len(fit))]
	m.site = location(c.zone)
	m.zone = m.site
	if m.is("zone", "no switch") { // the clock stays as it was before the change
		_, offset := c.utc.Add(-time.Hour).In(m.site).Zone()
		m.zone = time.FixedZone("", offset)
	}
	step := 5 * time.Minute
	before := time.Duration(24+m.rng.IntN(12)) * step
	for i := range 72 {
		m.times = append(m.times, c.utc.Add(-before+time.Duration(i)*step))
	}
}

// start is a local time of a day far from every change of clocks.
func (m *maker) start() time.Time {
	year := 2023 + m.rng.IntN(3)
	month := []time.Month{1, 2, 5, 6, 7, 8, 12}[m.rng.IntN(7)]
	day := 13 + m.rng.IntN(15)
	hour := 1 + m.rng.IntN(20)
	minute := m.rng.IntN(60)
	switch {
	case m.is("length", "long"):
		hour, minute = 0, 1
	case m.is("date choice", "over midnight"):
		day, hour, minute = 1+m.rng.IntN(11), 23, 58
		if m.is("clock", "no seconds") {
			minute = 40
		}
	case m.is("date choice", "early day"):
		day, hour = 1+m.rng.IntN(12), 1+m.rng.IntN(10)
	}
	second := m.rng.IntN(60)
	if m.is("clock", "no seconds") {
		second = 0
	}
	return time.Date(year, month, day, hour, minute, second, 0, m.zone)
}

func (m *maker) step() time.Duration {
	switch {
	case m.is("clock", "fraction .", "fraction ,", "fraction :") || m.is("time columns", "milliseconds"):
		return 250 * time.Millisecond
	case m.is("sequence", "several a minute"):
		return 20 * time.Second
	case m.is("clock", "no seconds"):
		return time.Duration(1+m.rng.IntN(2)) * time.Minute
	case m.is("date choice", "over midnight"):
		return []time.Duration{10, 15, 30}[m.rng.IntN(3)] * time.Second
	case m.is("length", "long"):
		return 10 * time.Second
	}
	return []time.Duration{1, 2, 5, 10, 30, 60, 300}[m.rng.IntN(7)] * time.Second
}

// sequence disturbs the times.
func (m *maker) sequence(step time.Duration) {
	n := len(m.times)
	switch {
	case m.is("sequence", "doubled"):
		m.times[n/2] = m.times[n/2-1]
	case m.is("sequence", "descending"):
		for i := range n / 2 {
			m.times[i], m.times[n-1-i] = m.times[n-1-i], m.times[i]
		}
	case m.is("sequence", "gaps"):
		for i := n / 2; i < n; i++ {
			m.times[i] = m.times[i].Add(20 * step)
		}
	case m.is("sequence", "jitter") && step >= 5*time.Second && !m.is("clock", "no seconds"):
		for i := range n {
			m.times[i] = m.times[i].Add(time.Duration(m.rng.IntN(3)) * time.Second)
		}
	}
}

// shown is the time that a row's stamp shows, where that is not its own: a logger
// without seconds cuts them off.
func (m *maker) shown(i int) time.Time {
	if m.is("clock", "no seconds") {
		return m.times[i].Truncate(time.Minute)
	}
	return m.times[i]
}

// local is what the clock shows, as microseconds since 1970 on the same clock.
func (m *maker) local(i int) int64 {
	at := m.shown(i)
	_, offset := at.In(m.zone).Zone()
	return at.UnixMicro() + int64(offset)*1e6
}

// stamps prints the time cells of a row.
func (m *maker) stamps(i int) []string {
	at := m.shown(i)
	local := at.In(m.zone)
	sinceStart := at.Sub(m.times[0])
	switch m.Recipe["time kind"] {
	case "ISO Z":
		return []string{at.UTC().Format("2006-01-02T15:04:05Z")}
	case "ISO offset":
		return []string{local.Format("2006-01-02T15:04:05-07:00")}
	case "epoch s":
		return []string{strconv.FormatInt(at.Unix(), 10)}
	case "epoch ms":
		return []string{strconv.FormatInt(at.UnixMilli(), 10)}
	case "epoch us":
		return []string{strconv.FormatInt(at.UnixMicro(), 10)}
	case "serial", "serial 1904":
		_, offset := local.Zone()
		days := float64(at.Unix()+int64(offset))/86400 + 25569
		if m.is("time kind", "serial 1904") {
			days -= 1462 // ISO/IEC 29500-1:2016, 18.17.4.1
		}
		return []string{m.decimalMark(fmt.Sprintf("%.6f", days))}
	case "elapsed s":
		return []string{m.decimalMark(fmt.Sprintf("%.1f", sinceStart.Seconds()))}
	case "elapsed clock":
		s := int(sinceStart.Seconds())
		return []string{fmt.Sprintf("%02d:%02d:%02d", s/3600, s/60%60, s%60)}
	case "sample number":
		return []string{strconv.Itoa(i + 1)}
	case "digits":
		return []string{local.Format("02012006150405")}
	case "interval":
		return []string{local.Format("2006-01-02 15:04:05") + " - " + local.Add(time.Minute).Format("15:04:05")}
	}
	return m.stamp(i, local)
}

// stamp prints date and time of day in the form and columns of the recipe.
func (m *maker) stamp(i int, local time.Time) []string {
	date, clock := m.date(local), m.timeOfDay(local)
	if m.is("zone", "in stamps") {
		name, _ := local.Zone()
		clock += " " + name
	}
	switch m.Recipe["time columns"] {
	case "parts":
		return strings.Split(local.Format("2006 1 2 15 4 5"), " ")
	case "milliseconds":
		return []string{date, clock, strconv.Itoa(local.Nanosecond() / 1e6)}
	case "two", "two apart":
		return []string{date, clock}
	case "date on change":
		if i > 0 && m.date(m.shown(i-1).In(m.zone)) == date {
			date = ""
		}
		return []string{date, clock}
	case "date in preamble", "date in file name":
		return []string{clock}
	}
	return []string{date + " " + clock}
}

func (m *maker) date(local time.Time) string {
	form := m.Recipe["date form"]
	if day, ok := strings.CutSuffix(form, "2 Jan 2006"); ok {
		return fmt.Sprintf("%s%d %s %d", local.Format(day), local.Day(), monthNames[m.lang][local.Month()-1], local.Year())
	}
	if form == "week" {
		year, week := local.ISOWeek()
		return fmt.Sprintf("%d-W%02d-%d", year, week, (int(local.Weekday())+6)%7+1)
	}
	return local.Format(form)
}

func (m *maker) timeOfDay(local time.Time) string {
	switch m.Recipe["clock"] {
	case "AM":
		return local.Format("3:04:05 PM")
	case "a.m.":
		half := "a.m."
		if local.Hour() >= 12 {
			half = "p.m."
		}
		return local.Format("3:04:05 ") + half
	case "PM narrow":
		return local.Format("3:04:05\u202FPM")
	case "lettered":
		return local.Format("15h04m05")
	case "no seconds":
		return local.Format("15:04")
	case "fraction .", "fraction ,", "fraction :":
		mark := strings.TrimPrefix(m.Recipe["clock"], "fraction ")
		return local.Format("15:04:05") + mark + fmt.Sprintf("%03d", local.Nanosecond()/1e6)
	case "one digit":
		return fmt.Sprintf("%d:%02d:%02d", local.Hour(), local.Minute(), local.Second())
	}
	return local.Format("15:04:05")
}

// timeHeader prints the names of the time columns.
func (m *maker) timeHeader() []string {
	names := timeNames[m.lang]
	switch m.Recipe["time kind"] {
	case "epoch s", "epoch ms", "epoch us":
		return []string{"timestamp"}
	case "elapsed s":
		return []string{"Elapsed [s]"}
	case "elapsed clock":
		return []string{"Elapsed"}
	case "sample number":
		return []string{"No."}
	}
	switch m.Recipe["time columns"] {
	case "parts":
		return partNames[m.lang][:]
	case "milliseconds":
		return []string{names[1], names[2], "ms"}
	case "two", "two apart", "date on change":
		return []string{names[1], names[2]}
	case "date in preamble", "date in file name":
		return []string{names[2]}
	}
	if m.is("name holds", "zone") {
		return []string{names[0] + ", " + m.offsetText("GMT")}
	}
	return []string{names[0]}
}

// offsetText prints the offset of the logger's clock: GMT-05:00.
func (m *maker) offsetText(name string) string {
	_, offset := m.times[0].In(m.zone).Zone()
	sign := "+"
	if offset < 0 {
		sign, offset = "-", -offset
	}
	return fmt.Sprintf("%s%s%02d:%02d", name, sign, offset/3600, offset/60%60)
}

// orderIsOpen tells whether day and month can be exchanged in every stamp, and no
// date changes in step with the lines around it.
func (m *maker) orderIsOpen() bool {
	if !m.is("time kind", "stamp") || m.is("time columns", "date in preamble", "date in file name") ||
		m.is("date form", "2006-01-02", "2006/01/02", "2 Jan 2006", "Mon 2 Jan 2006", "20060102", "week") || m.is("time columns", "parts") {
		return false
	}
	if m.is("date form", "02.01.06") && !m.is("header", "none") && m.is("layout", "wide", "one sensor") && m.is("names", "unique", "changed order", "repeated") && m.is("language", "de", "fr", "es", "it", "nl", "pt") {
		return false // no date with points begins with its year there (Unicode CLDR 44, short date formats)
	}
	twoDigits := m.is("date form", "02.01.06", "01/02/06")
	changes := false
	for i := range m.times {
		d := m.times[i].In(m.zone)
		changes = changes || d.Day() != m.times[0].In(m.zone).Day()
		if !twoDigits && d.Day() > 12 {
			return false
		}
		if !twoDigits && d.Day() == int(d.Month()) || twoDigits && m.is("date form", "02.01.06") && d.Day() == d.Year()%100 {
			return false
		}
	}
	return !changes && !m.is("date form", "02.01.2006")
}
