package trust

import "slices"

// daysAlone is how many days lie between two at which somebody touches what a logger that stays
// has on a machine: mistakes are made then, so a day by itself holds one so many times less often
// than a visit does. Once a month, common practice, no source.
const daysAlone = 30.0

// goesOn tells whether the visit is a day of a logger that stays whose file began as this
// machine's: the rest of it is no other machine's.
func (h history) goesOn() bool {
	return h.stays() && slices.ContainsFunc(h.now.Paths, func(path string) bool { return slices.Contains(h.latest.Paths, path) })
}

// stays tells whether the visit is a day of a logger that was there the day before.
func (h history) stays() bool {
	return h.now.Day && h.latest != nil && h.latest.Day && h.latest.Fingerprint() == h.now.Fingerprint()
}

// byTheDay are explanations as often as they are true of a day of a logger that stays.
func (h history) byTheDay(list []explanation) []explanation {
	if !h.stays() {
		return list
	}
	if h.goesOn() {
		list = slices.DeleteFunc(list, func(x explanation) bool { return x.machine })
	}
	for i := range list {
		list[i].often = list[i].usual() / daysAlone
	}
	return list
}
