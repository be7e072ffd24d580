package trust

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
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
	fresh = inOrder(looked)
	for n < len(reviewed) && len(fresh) > 0 && reviewed[n].Looked == fresh[0].digest() {
		n, fresh = n+1, fresh[1:]
	}
	return reviewed[:n:n], fresh
}

// kept is of how many visits, the latest, all is kept that a review needs of those before it:
// nights review anew some of the latest two months.
const kept = remembered + 100

// Thinned are reviewed visits without the measures that no review will ask for.
func Thinned(facts []Facts) []Facts {
	out := slices.Clone(facts)
	for i := range out[:max(0, len(out)-kept)] {
		out[i] = out[i].Said()
	}
	return out
}

// Said is a visit without its measures: what it was, who logged it and what is in doubt.
func (f Facts) Said() Facts {
	f.Mean, f.U, f.Rest, f.Still, f.Stop = nil, nil, nil, nil, nil
	return f
}

// Remember tells whether of visits, as Thinned left them, all is kept that a review of what
// follows the first n of them needs.
func Remember(facts []Facts, n int) bool {
	return len(facts) <= kept || n-remembered >= len(facts)-kept
}

// inOrder are visits by start.
func inOrder(visits []Facts) []Facts {
	visits = slices.Clone(visits)
	slices.SortStableFunc(visits, func(a, b Facts) int { return int(sign(a.Start - b.Start)) })
	return visits
}

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
