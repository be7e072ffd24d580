package register

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
)

// A Register is what the user says about the fleet, with what is wrong in it.
// The order of its rows does not depend on the order in the files.
type Register struct {
	Systems     []System     // by ID without regard to case
	Instruments []Instrument // by serial number without regard to case
	Problems    []*RowError  // by file, line and column

	byID      map[string]int // into Systems, by folded ID
	bySerial  map[string]int // into Instruments, by folded serial
	channels  map[string][]Channel
	alike     map[makeOf]Instrument
	events    map[string][]Event        // those without a date first
	claims    map[string][]claim        // by the folder their pattern begins with, in small letters; "" where that is no plain name
	tariffs   []Tariff                  // by site and first day
	answers   map[string][]Answer       // by folded ID of the system, in time order
	ownLimits []Limit                   // by first day
	rules     map[*time.Location]string // digests of the clock changes of systems' zones, by zone
	whenever  sync.Map                  // rows of Channels for any time, by system and the patterns that fit
	patterns  sync.Map                  // file patterns taken apart, by their text
	reading   sync.Map                  // texts of ReadingRows that were asked for, by system, gauge and lines
	whole     sync.Once                 // of fleetText
	fleetText string                    // of FleetRows
}

// A claim is a file pattern with which a system names uploads as its own.
type claim struct{ system, pattern string }

func newRegister() *Register {
	return &Register{
		byID: map[string]int{}, bySerial: map[string]int{},
		channels: map[string][]Channel{}, events: map[string][]Event{}, answers: map[string][]Answer{}, rules: map[*time.Location]string{},
	}
}

func (r *Register) addSystem(s System) {
	r.byID[foldID(s.ID)] = len(r.Systems)
	r.Systems = append(r.Systems, s)
}

// sortSystems puts systems in their order, and looks up the clocks of their zones.
func (r *Register) sortSystems() {
	slices.SortFunc(r.Systems, func(a, b System) int { return cmp.Compare(foldID(a.ID), foldID(b.ID)) })
	for i, s := range r.Systems {
		r.byID[foldID(s.ID)] = i
		if _, known := r.rules[s.Zone]; !known {
			r.rules[s.Zone] = zoneRules(s.Zone)
		}
	}
}

func (r *Register) addInstrument(i Instrument) {
	r.bySerial[strings.ToLower(i.Serial)] = len(r.Instruments)
	r.Instruments = append(r.Instruments, i)
}

func (r *Register) sortInstruments() {
	slices.SortFunc(r.Instruments, func(a, b Instrument) int {
		return cmp.Compare(strings.ToLower(a.Serial), strings.ToLower(b.Serial))
	})
	for i, in := range r.Instruments {
		r.bySerial[strings.ToLower(in.Serial)] = i
	}
}

func (r *Register) addChannel(c Channel) {
	id := foldID(c.System)
	r.channels[id] = append(r.channels[id], c)
}

// sortChannels orders the rows of each system by column, the more exact file
// pattern first, and collects the patterns that claim uploads.
func (r *Register) sortChannels() {
	h, texts := headers{}, rowTexts{channelForm(), map[int]string{}}
	claims := map[claim]bool{}
	for _, rows := range r.channels {
		slices.SortFunc(rows, func(a, b Channel) int {
			order := cmp.Or(
				cmp.Compare(h.fold(a.Column), h.fold(b.Column)),
				cmp.Compare(exactness(b.File), exactness(a.File)),
				a.From.Compare(b.From))
			if order == 0 {
				order = cmp.Compare(texts.of(a), texts.of(b))
			}
			return order
		})
		for _, c := range rows {
			if c.File != "" {
				claims[claim{c.System, c.File}] = true
			}
		}
	}
	r.claims = map[string][]claim{}
	for _, c := range slices.SortedFunc(maps.Keys(claims), func(a, b claim) int { return cmp.Compare(a.pattern, b.pattern) }) {
		r.claims[firstFolder(c.pattern)] = append(r.claims[firstFolder(c.pattern)], c)
	}
}

// A rowTexts gives the canonical texts of channel rows, each made once.
type rowTexts struct {
	form   form[Channel]
	byLine map[int]string
}

func (t rowTexts) of(c Channel) string {
	text, known := t.byLine[c.Line]
	if !known {
		text = t.form.canonical(&c)
		t.byLine[c.Line] = text
	}
	return text
}

func (r *Register) addEvent(e Event) {
	id := foldID(e.System)
	r.events[id] = append(r.events[id], e)
}

func (r *Register) sortEvents() {
	form := eventForm()
	for _, rows := range r.events {
		slices.SortFunc(rows, func(a, b Event) int {
			if order := a.Time.Compare(b.Time); order != 0 {
				return order
			}
			return cmp.Compare(form.canonical(&a), form.canonical(&b))
		})
	}
}

func (r *Register) ids() []string {
	ids := make([]string, len(r.Systems))
	for i, s := range r.Systems {
		ids[i] = s.ID
	}
	return ids
}

// System returns a system by its ID, without regard to case.
func (r *Register) System(id string) (System, bool) {
	i, ok := r.byID[foldID(id)]
	if !ok {
		return System{}, false
	}
	return r.Systems[i], true
}

// Instrument returns an instrument by its serial number, without regard to case.
func (r *Register) Instrument(serial string) (Instrument, bool) {
	i, ok := r.bySerial[strings.ToLower(serial)]
	if !ok {
		return Instrument{}, false
	}
	return r.Instruments[i], true
}

// Channels returns the rows that speak about an upload of a system at a time, by
// column: at most one for each column, the one with the most exact file pattern.
// The upload is its path below uploads/, with slashes; "" stands for any upload.
// With a zero time all rows are returned whenever they hold; of those for one
// column, the first that is valid at a sample's time is the one that counts.
//
// What it returns is shared, and not to be changed.
func (r *Register) Channels(system, upload string, at time.Time) []Channel {
	rows := r.channels[foldID(system)]
	if upload == "" || !at.IsZero() || len(rows) == 0 {
		return channelsOf(rows, upload, at)
	}
	// the files of a logger that stays fit the same patterns, thousands of times
	fitting := r.fitting(rows, upload)
	key := foldID(system) + fitting
	found, known := r.whenever.Load(key)
	if !known {
		found, _ = r.whenever.LoadOrStore(key, channelsOf(rows, upload, at))
	}
	return found.([]Channel)
}

// fitting says which patterns of rows an upload fits.
func (r *Register) fitting(rows []Channel, upload string) string {
	which := []byte{' '}
	path := pathOf(upload)
	for i, c := range rows {
		if i > 0 && c.File == rows[i-1].File {
			continue
		}
		which = strconv.AppendBool(which, path.fits(r.pattern(c.File)))
	}
	return string(which)
}

// pattern is a file pattern taken apart, once for all uploads.
func (r *Register) pattern(text string) filePattern {
	p, known := r.patterns.Load(text)
	if !known {
		p, _ = r.patterns.LoadOrStore(text, patternOf(text))
	}
	return p.(filePattern)
}

func channelsOf(rows []Channel, upload string, at time.Time) []Channel {
	var found []Channel
	var pattern string // of the row before: most rows of a system name the same files
	matching := true   // an empty one is any upload
	for _, c := range rows {
		if c.File != pattern {
			pattern, matching = c.File, matches(c.File, upload)
		}
		if upload != "" && !matching || !at.IsZero() && !c.ValidAt(at) {
			continue
		}
		last := len(found) - 1
		if !at.IsZero() && upload != "" && last >= 0 && foldHeader(found[last].Column) == foldHeader(c.Column) {
			continue
		}
		found = append(found, c)
	}
	return found
}

// Claimants returns the systems whose channel rows name an upload by a file
// pattern, by ID. The upload is its path below uploads/, with slashes.
func (r *Register) Claimants(upload string) []string {
	var systems []string
	path := pathOf(upload)
	for _, claims := range [][]claim{r.claims[""], r.claims[firstFolder(upload)]} {
		for _, c := range claims {
			if !slices.Contains(systems, c.system) && path.fits(r.pattern(c.pattern)) {
				systems = append(systems, c.system)
			}
		}
	}
	slices.SortFunc(systems, func(a, b string) int { return cmp.Compare(foldID(a), foldID(b)) })
	return systems
}

// firstFolder is the folder that a path or a pattern begins with, in small letters; empty
// where there is none, or it stands for several.
func firstFolder(path string) string {
	folder, _, below := strings.Cut(strings.ToLower(path), "/")
	if !below || strings.ContainsAny(folder, `*?[\`) {
		return ""
	}
	return folder
}

// Events returns the dated events of a system, in time order, as corrected: a row
// whose place another took is not among them.
func (r *Register) Events(system string) []Event {
	rows := r.events[foldID(system)]
	return standing(rows[undated(rows):])
}

// Undated returns the events of a system whose date is unknown. They count for
// the books, but nobody can say what came before them.
func (r *Register) Undated(system string) []Event {
	rows := r.events[foldID(system)]
	return standing(rows[:undated(rows)])
}

// undated counts the events without a date, which come first.
func undated(rows []Event) int {
	n := slices.IndexFunc(rows, func(e Event) bool { return !e.Time.IsZero() })
	if n < 0 {
		return len(rows)
	}
	return n
}
