package trust

import (
	"fmt"
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// dynamics checks whether channels move together as one circuit's do.
func (l *look) dynamics() {
	if l.bins = l.binned(); l.bins.count < fewest {
		return
	}
	l.pulledDown()
	l.stepped()
	s, swings := l.swing()
	if swings {
		l.followsSwing(s)
	}
	l.bleeds(s)
	l.ownWay()
}

// A swing is the rhythm of a hunting valve in the running machine: the size of a
// sine of its period in each quantity, K.
type swing struct {
	period float64 // s
	size   map[cycle.Quantity]float64
	noise  map[cycle.Quantity]float64 // of a size, K
}

// Valves hunt with periods of one to four minutes (common practice, no source).
const (
	shortestHunt = 40.0  // s
	longestHunt  = 260.0 // s
	fewestCycles = 6
	leastSteps   = 2.2 // of samples in a period
)

// swing finds the rhythm that several of the fast quantities share. What is sampled less than
// twice a period shows the rhythm folded to a longer one, the same in all channels, since they
// are read together: their sizes still compare.
func (l *look) swing() (swing, bool) {
	b := l.bins
	seconds := float64(b.count) * b.step
	if b.step > coarsest || seconds < fewestCycles*shortestHunt {
		return swing{}, false
	}
	s := swing{size: map[cycle.Quantity]float64{}, noise: map[cycle.Quantity]float64{}}
	all := l.fastOnes()
	best := 0.0
	longest := math.Min(longestHunt, seconds/fewestCycles)
	for period := math.Max(shortestHunt, leastSteps*b.step); period <= longest; period *= 1 + 0.3*period/seconds {
		var power float64
		for _, w := range all.waves(b.step, period) {
			power += math.Pow(math.Min(w.size/w.noise, 20), 2)
		}
		if power > best {
			best, s.period = power, period
		}
	}
	if best < leastPower {
		return swing{}, false
	}
	for k, w := range all.waves(b.step, s.period) {
		if q := fast[k]; l.residue(q) != nil {
			s.size[q], s.noise[q] = w.size, w.noise
		}
	}
	return s, true
}

// leastPower is the sum of squares of signal over noise that a shared rhythm has:
// the best of some fifty periods in noise reaches about a third of it.
const leastPower = 60

// residue is a quantity by bins without what is slower than a valve hunts: a thermostat's swing
// and the weather would hide the rhythm. It is nil where the quantity is not there.
func (l *look) residue(q cycle.Quantity) []float64 {
	if x, ok := l.residues[q]; ok {
		return x
	}
	var x []float64
	if m := l.bins.means(l, q); !math.IsNaN(meanOf(m)) {
		x = quick(straightened(m), int(longestHunt/l.bins.step/2))
	}
	l.residues[q] = x
	return x
}

// quick takes out of even values without gaps the mean over so many values on either side.
func quick(y []float64, beside int) []float64 {
	out := make([]float64, len(y))
	sum, from, to := 0.0, 0, 0
	for i, v := range y {
		for ; to < min(len(y), i+beside+1); to++ {
			sum += y[to]
		}
		for ; from < i-beside; from++ {
			sum -= y[from]
		}
		out[i] = v - sum/float64(to-from)
	}
	return out
}

// bins are the longest stretch of the running machine in even steps.
type bins struct {
	rows  []int
	step  float64 // s
	count int
}

// Bins are at least leastBin long, and at most mostBins are looked at.
const (
	leastBin = 8.0 // s
	mostBins = 400
)

func (l *look) binned() bins {
	b := bins{step: math.Max(l.step, leastBin)}
	hole := int64(5 * math.Max(l.step, 1) * 1e6)
	t := l.Columns.Time
	from := 0
	for k := 1; k <= len(l.rows); k++ {
		if k < len(l.rows) && t[l.rows[k]]-t[l.rows[k-1]] <= hole {
			continue
		}
		if k-from > len(b.rows) {
			b.rows = l.rows[from:k]
		}
		from = k
	}
	if len(b.rows) == 0 {
		return b
	}
	b.count = min(mostBins, 1+int(float64(t[b.rows[len(b.rows)-1]]-t[b.rows[0]])/1e6/b.step))
	return b
}

// means are those of a quantity by bins; NaN where nothing was measured.
func (b bins) means(l *look, q cycle.Quantity) []float64 {
	sum, n := make([]float64, b.count), make([]float64, b.count)
	for _, i := range b.rows {
		k := int(float64(l.Columns.Time[i]-l.Columns.Time[b.rows[0]]) / 1e6 / b.step)
		if k >= b.count {
			break
		}
		if v := l.Columns.At(q, i); !math.IsNaN(v) {
			sum[k] += v
			n[k]++
		}
	}
	for k := range sum {
		sum[k] /= n[k]
	}
	return sum
}

// straightened takes line and bend out of even values, by orthogonal polynomials;
// gaps count as no deviation.
func straightened(y []float64) []float64 {
	out := make([]float64, len(y))
	mean := meanOf(y)
	for i, v := range y {
		if out[i] = v - mean; math.IsNaN(out[i]) {
			out[i] = 0
		}
	}
	n := float64(len(y))
	for _, p := range []func(float64) float64{
		func(x float64) float64 { return x },
		func(x float64) float64 { return x*x - (n*n-1)/12 },
	} {
		var py, pp float64
		for i, v := range out {
			w := p(float64(i) - (n-1)/2)
			py += w * v
			pp += w * w
		}
		if pp == 0 {
			continue
		}
		for i := range out {
			out[i] -= py / pp * p(float64(i)-(n-1)/2)
		}
	}
	return out
}

// fast are the quantities that show a valve's rhythm.
var fast = [...]cycle.Quantity{cycle.SuctionTemp, cycle.LiquidTemp, cycle.Evaporating, cycle.Condensing}

// A chorus is what the fast quantities do beside their trends, by bins; zeros where one is
// not there. Periods are tried on all of them at once: turning a sine on costs the most.
type chorus struct {
	of      [][len(fast)]float64
	squares [len(fast)]float64 // their sums
}

// A wave is the size of a sine in values without a trend, and the standard error of such a
// size from what the sine leaves over.
type wave struct{ size, noise float64 }

func (l *look) fastOnes() chorus {
	all := chorus{of: make([][len(fast)]float64, l.bins.count)}
	for k, q := range fast {
		for i, v := range l.residue(q) {
			all.of[i][k] = v
			all.squares[k] += v * v
		}
	}
	return all
}

// waves are the sines of a period in each.
func (c *chorus) waves(step, period float64) (out [len(fast)]wave) {
	var cos, sin [len(fast)]float64
	turnS, turnC := math.Sincos(2 * math.Pi * step / period)
	re, im := 1.0, 0.0
	for i := range c.of {
		for k, v := range c.of[i] {
			cos[k] += v * re
			sin[k] += v * im
		}
		re, im = re*turnC-im*turnS, re*turnS+im*turnC
	}
	n := float64(len(c.of))
	for k := range out {
		size := 2 * math.Hypot(cos[k], sin[k]) / n
		left := math.Max(c.squares[k]/n-size*size/2, 1e-9)
		out[k] = wave{size, math.Sqrt(2 * left / n)}
	}
	return out
}

// How much of a swing a channel must show at least beside its partner. Suction gas
// swings more than the evaporating temperature, the liquid more than the condensing
// one: 1.2 and 0.63 K beside 0.6 and 0.3 K on a laboratory machine (R134a heat pump,
// thermostatic valve, 0.5 s sampling). A good clamp (lag 20 s) loses a fifth of 85 s.
const (
	leastFollowed = 0.25
	wellFollowed  = 0.5
	clearly       = 6.0 // standard errors of the partner's swing
)

// followsSwing compares the partners on either side of the valve.
func (l *look) followsSwing(s swing) {
	for _, pair := range []struct {
		probe, saturation, pressure cycle.Quantity
		usual                       float64 // size of the probe's swing over that of the saturation temperature
	}{
		{cycle.SuctionTemp, cycle.Evaporating, cycle.SuctionPressure, 1.6},
		{cycle.LiquidTemp, cycle.Condensing, cycle.DischargePressure, 1.8},
	} {
		probe, sat := s.size[pair.probe], s.size[pair.saturation]
		if s.noise[pair.probe] == 0 || s.noise[pair.saturation] == 0 || l.doubted(pair.probe) || l.doubted(pair.pressure) {
			continue
		}
		others := l.othersSwing(s, pair.probe, pair.saturation)
		switch {
		case sat > clearly*s.noise[pair.saturation] && sat*pair.usual > clearly*s.noise[pair.probe] && probe < leastFollowed*pair.usual*sat && others:
			l.doubt(Doubt{
				Rule: "D10", Channels: about(pair.probe), Hides: true,
				Evidence: fmt.Sprintf("with a period of %.0f s the valve swings the saturation temperature by %.2f K, this probe shows %.2f K of it: it hardly feels the pipe", s.period, sat, probe),
				Remedy:   "clamp the probe on clean bare pipe, insulate it, and log again",
			})
		case probe > clearly*s.noise[pair.probe] && probe/pair.usual > clearly*s.noise[pair.saturation] && sat < leastFollowed*probe/pair.usual && others:
			l.doesNotFollow(pair.pressure, fmt.Sprintf("with a period of %.0f s the pipe's temperature swings by %.2f K, the saturation temperature by %.2f K: the pressure does not follow", s.period, probe, sat))
		case sat > clearly*s.noise[pair.saturation] && probe > clearly*s.noise[pair.probe] && probe > wellFollowed*pair.usual*sat:
			l.follow = append(l.follow, pair.probe.Column())
		}
	}
}

// doesNotFollow says of a pressure that it does not swing with the machine: behind a shut valve
// it does nothing else either, and on another circuit it goes its own way.
func (l *look) doesNotFollow(q cycle.Quantity, evidence string) {
	if te := l.slow(cycle.Evaporating); q == cycle.SuctionPressure && te != nil && deviation(te) > leastAlone {
		l.otherCircuit(evidence + ", and goes its own way")
		return
	}
	l.doubt(Doubt{
		Rule: "D14", Channels: about(q), Hides: true, Evidence: evidence,
		Remedy: "open the hose's valve, check its core depressor, and log again",
	})
}

// otherCircuit says that the low pressure is another circuit's.
func (l *look) otherCircuit(evidence string) {
	l.doubt(Doubt{
		Rule: "D20", Channels: about(cycle.SuctionPressure), Hides: true, Evidence: evidence,
		Remedy: "check that the low-pressure hose hangs on this circuit",
	})
}

// othersSwing tells whether the other side of the machine swings too, so that the
// rhythm is the machine's.
func (l *look) othersSwing(s swing, not ...cycle.Quantity) bool {
	for q, size := range s.size {
		if q != not[0] && q != not[1] && size > clearly*s.noise[q] {
			return true
		}
	}
	return false
}

// Slow moves are those of means over slowStep, or of fewestOf samples where they are further apart; a machine's own ones carry along
// suction gas, high pressure or the medium.
const (
	slowStep    = 90.0 // s
	fewestOf    = 3    // samples: a hunting valve sampled once a minute would wander by itself
	fewestSlow  = 10
	longestSlow = 600.0 // s: means over more hide what moves together
	leastAlone  = 0.4   // K, standard deviation
	mostShared  = 0.75  // correlation with another channel
	leastBleed  = 0.8   // K
	mostWith    = 0.3   // of the fall
)

// slow is a quantity as means over slowStep, without line and bend.
func (l *look) slow(q cycle.Quantity) []float64 {
	if !l.has(q) {
		return nil
	}
	x := l.slowMeans(q)
	if len(x) < fewestSlow {
		return nil
	}
	return straightened(x)
}

// slow is of how many bins a slow mean is.
func (b bins) slow() int { return max(fewestOf, int(slowStep/b.step)) }

func (l *look) slowMeans(q cycle.Quantity) []float64 {
	v := l.bins.means(l, q)
	per := l.bins.slow()
	var x []float64
	for k := 0; k+per <= len(v); k += per {
		x = append(x, meanOf(v[k:k+per]))
	}
	return x
}

// ownWay looks for a suction pressure that moves while nothing else of the circuit
// does: it is another circuit's.
func (l *look) ownWay() {
	te := l.slow(cycle.Evaporating)
	if te == nil || l.suspect("D14") || l.suspect("D19") || l.suspect("D20") || float64(l.bins.slow())*l.bins.step > longestSlow {
		return
	}
	best := 0.0
	for _, q := range []cycle.Quantity{cycle.SuctionTemp, cycle.Condensing, cycle.LiquidTemp, cycle.EvaporatorMedium, cycle.Power, cycle.Speed} {
		if x := l.slow(q); x != nil {
			best = math.Max(best, math.Abs(correlation(te, x)))
		}
	}
	own := deviation(te) * math.Sqrt(1-best*best)
	if best > mostShared || own < leastAlone {
		return
	}
	l.otherCircuit(fmt.Sprintf("the evaporating temperature wanders by %.1f K (standard deviation of means of %.0f s) while suction gas, high pressure and medium do not go along (correlation at most %.2f)",
		own, float64(l.bins.slow())*l.bins.step, best))
}

// correlation is that of two series without mean; 0 where one does not move.
func correlation(a, b []float64) float64 {
	var ab, aa, bb float64
	for i := range a {
		ab += a[i] * b[i]
		aa += a[i] * a[i]
		bb += b[i] * b[i]
	}
	if aa*bb == 0 {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}

// bleeds looks for a pressure behind a closed valve: it bleeds away evenly while the
// pipe beside it and the medium stay, and hears nothing of a hunting valve's swing.
func (l *look) bleeds(s swing) {
	for _, side := range []struct {
		saturation, pressure cycle.Quantity
		partners             []cycle.Quantity
	}{
		{cycle.Evaporating, cycle.SuctionPressure, []cycle.Quantity{cycle.SuctionTemp, cycle.EvaporatorMedium}},
		{cycle.Condensing, cycle.DischargePressure, []cycle.Quantity{cycle.LiquidTemp}},
	} {
		fall := l.descentOf(side.saturation)
		if fall.by < leastBleed || !fall.even || s.size[side.saturation] > clearly*s.noise[side.saturation] {
			continue
		}
		alone := 0
		for _, q := range side.partners {
			if l.has(q) && !l.doubted(q) && l.descentOf(q).by < mostWith*fall.by {
				alone++
			}
		}
		if alone == 0 || alone < l.count(side.partners) {
			continue
		}
		l.doubt(Doubt{
			Rule: "D14", Channels: about(side.pressure), Hides: true,
			Evidence: fmt.Sprintf("the saturation temperature falls evenly by %.1f K while it runs, and the pipe beside the tap does not: the pressure bleeds away", fall.by),
			Remedy:   "open the hose's valve, check its core depressor, and log again",
		})
	}
}

func (l *look) count(quantities []cycle.Quantity) (n int) {
	for _, q := range quantities {
		if l.has(q) {
			n++
		}
	}
	return n
}

// A descent is how a quantity falls over the running stretch.
type descent struct {
	by    float64 // from the first third to the last
	sinks bool    // each third lies below the one before
	even  bool    // and it falls all along
}

func (l *look) descentOf(q cycle.Quantity) (d descent) {
	x := l.slowMeans(q)
	n := len(x) / 3
	if n < 2 {
		return d
	}
	a, b, c := meanOf(x[:n]), meanOf(x[n:len(x)-n]), meanOf(x[len(x)-n:])
	down := 0
	for k := 1; k < len(x); k++ {
		if x[k] < x[k-1] {
			down++
		}
	}
	d.by, d.sinks = a-c, a > b && b > c
	d.even = d.sinks && float64(down) >= fallSteps*float64(len(x)-1)
	return d
}

func deviation(x []float64) float64 {
	_, sd, _, err := robust.Mean(x)
	if err != nil {
		return 0
	}
	return sd
}
