package trust

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
)

// Standing parts the visits of a system into those of an earlier review that stand and
// those to be reviewed: what began before a time stands, and from there on what looks as it
// did, up to the first visit that does not. A review of a visit rests on itself and those
// before it, so what stands is what a review of all visits would say.
func Standing(reviewed []Facts, to int64, looked []Facts) (stand, fresh []Facts) {
	n := 0
	for n < len(reviewed) && reviewed[n].Start < to {
		n++
	}
	fresh = ordered(looked, byStart)
	for n < len(reviewed) && len(fresh) > 0 && reviewed[n].Looked == fresh[0].digest() {
		n, fresh = n+1, fresh[1:]
	}
	return reviewed[:n:n], fresh
}

// kept is of how many visits, the latest, measures are kept: nights review anew some of the
// latest two months, and ask for those of the visits before them.
const kept = remembered + 100

// Kept is, of months with so many visits each, the first whose measures are kept: no review
// will ask for those before it.
func Kept(visits []int) int { return sinceSoMany(visits, len(visits), kept) }

// Needed is the first month whose measures a review of the visits of month n, and of those
// that follow it, asks for.
func Needed(visits []int, n int) int { return sinceSoMany(visits, n, remembered) }

// sinceSoMany is the latest month with which so many visits begin that end before month n, or
// the first there is.
func sinceSoMany(visits []int, n, many int) int {
	for n > 0 && many > 0 {
		n--
		many -= visits[n]
	}
	return n
}

// Said is a visit without its measures: what it was, who logged it and what is in doubt.
func (f Facts) Said() Facts {
	f.Mean, f.U, f.Rest, f.Still, f.Stop = nil, nil, nil, nil, nil
	return f
}

func byStart(a, b Facts) int { return cmp.Compare(a.Start, b.Start) }

// digest tells apart what is known of visits before their review; 64 bits are plenty for the
// few visits of two months that are held against each other.
func (f Facts) digest() string {
	f.Looked = ""
	text, err := json.Marshal(f)
	if err != nil {
		return "" // what JSON cannot say is never kept either
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}
