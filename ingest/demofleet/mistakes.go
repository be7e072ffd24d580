package demofleet

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// Mistakes is the share of visit logs with each mistake, by its number.
type Mistakes map[string]float64

// A mistake is one that people make when they log. spoil makes it in a record and
// returns which quantities suffer, or false where it cannot be made there.
type mistake struct {
	id, doc string
	usual   float64 // share of logs
	spoil   func(r *rand.Rand, rec *recorder) ([]quantity, bool)
}

// mistakes are those of the trade's list (D1 to D33). D1 and D32 are made where files
// and register are put together, D16 by uploading a file again, D24 where somebody is
// sent out with a kit.
var mistakes = []mistake{
	{"D1", "another refrigerant of like pressures in the register, a share of systems (beside slips.refrigerant)", 0, nil},
	{"D2", "absolute pressures under a gauge label, or the other way round", 0.01, gaugeMixed},
	{"D3", "gauge pressures made with the air of sea level", 0.01, seaLevel},
	{"D4", "pressures without their unit", 0.005, unitLost},
	{"D5", "temperatures in °F under °C", 0.005, wrongScale},
	{"D6", "a temperature difference converted as a temperature", 0.005, differenceShifted},
	{"D7", "suction and liquid probe swapped", 0.01, swap(suctionTemp, liquidTemp)},
	{"D8", "pressure hoses swapped", 0.01, swap(suctionPressure, dischargePressure)},
	{"D9", "suction and discharge probe swapped", 0.005, swap(suctionTemp, dischargeTemp)},
	{"D10", "a probe hangs loose on its pipe", 0.02, loose},
	{"D11", "a probe falls off", 0.01, fallsOff},
	{"D12", "a channel sticks", 0.01, sticks},
	{"D13", "error codes among the numbers", 0.01, errorCodes},
	{"D14", "the hose's valve is closed", 0.01, hoseClosed},
	{"D15", "the logger's clock is off", 0.01, clockOff},
	{"D16", "the same file uploaded again under another name", 0.01, nil},
	{"D17", "sampled too coarsely, with gaps", 0.01, coarse},
	{"D18", "logged too short", 0.02, short},
	{"D19", "logged while the room is pulled down", 0.02, pullDown},
	{"D20", "suction pressure taken from another circuit", 0.005, otherCircuit},
	{"D21", "capacity steps within the log", 0.02, stepped},
	{"D22", "a heating machine's gas line, which is its high side then, taken for the suction line", 0.05, gasLine},
	{"D23", "a channel that matters is missing", 0.02, channelMissing},
	{"D24", "logged with another kit than usual (beside visits.other_kit)", 0, nil},
	{"D25", "the room's probe lies on the coil", 0.01, probeOnCoil},
	{"D26", "the suction probe reads far too low", 0.005, shifted(suctionTemp, -1, func(x *Sizes) Range { return x.SuctionLow })},
	{"D27", "the liquid probe is in the sun", 0.01, shifted(liquidTemp, 1, func(x *Sizes) Range { return x.LiquidSun })},
	{"D28", "one phase of three measured, or W stored under kW", 0.01, wrongPower},
	{"D29", "the outdoor probe is in the sun", 0.02, shifted(outdoorTemp, 1, func(x *Sizes) Range { return x.OutdoorSun })},
	{"D30", "a pressure sensor has lost its zero", 0.01, zeroLost},
	{"D31", "the decimal mark changes within the file", 0.005, markChanges},
	{"D32", "the file lies in another system's folder", 0.01, nil},
	{"D33", "somebody works on the machine within the log", 0.01, worked},
}

// harmless are those after which a log's values still are what was there.
var harmless = map[string]bool{"D16": true, "D21": true, "D24": true, "D33": true}

// dealt are those of systems and of visits, which no log draws: their shares say to how many
// systems (D1) and visits (D24) they come.
var dealt = map[string]bool{"D1": true, "D24": true}

// defaultMistakes is how often each is usually made (guesses).
func defaultMistakes() Mistakes {
	m := Mistakes{}
	for _, k := range mistakes {
		m[k.id] = k.usual
	}
	return m
}

// draw chooses the mistakes of one log.
func (m Mistakes) draw(r *rand.Rand) []mistake {
	var list []mistake
	for _, k := range mistakes {
		if r.Float64() < m[k.id] && !dealt[k.id] {
			list = append(list, k)
		}
	}
	return list
}

func gaugeMixed(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	shift := rec.set.air
	if !rec.dialect.units[pressures].gauge {
		shift = -shift
	}
	rec.onShow(func(_ time.Time, q quantity, v float64) float64 {
		if q.pressure() {
			return v + shift
		}
		return v
	})
	return []quantity{suctionPressure, dischargePressure}, true
}

func seaLevel(_ *rand.Rand, rec *recorder) ([]quantity, bool) {
	shift := rec.set.air - airPressure(0)
	if !rec.dialect.units[pressures].gauge || shift > -3 {
		return nil, false
	}
	rec.unseen = rec.withinLimit(suctionPressure, shift) && rec.withinLimit(dischargePressure, shift)
	rec.onShow(func(_ time.Time, q quantity, v float64) float64 {
		if q.pressure() {
			return v + shift
		}
		return v
	})
	return []quantity{suctionPressure, dischargePressure}, true
}

func unitLost(_ *rand.Rand, rec *recorder) ([]quantity, bool) {
	u := rec.dialect.units[pressures]
	u.label = ""
	rec.dialect.units = withUnit(rec.dialect.units, pressures, u)
	return []quantity{suctionPressure, dischargePressure}, true
}

func wrongScale(_ *rand.Rand, rec *recorder) ([]quantity, bool) {
	u := fahrenheit
	u.label = celsius.label
	if rec.dialect.units[temperatures].label == fahrenheit.label {
		u = celsius
		u.label = fahrenheit.label
	}
	rec.dialect.units = withUnit(rec.dialect.units, temperatures, u)
	var all []quantity
	for _, q := range rec.visit.channels {
		if q.class() == temperatures {
			all = append(all, q)
		}
	}
	return all, true
}

func differenceShifted(_ *rand.Rand, rec *recorder) ([]quantity, bool) {
	rec.superheat = true
	return nil, true
}

// swap exchanges two channels.
func swap(a, b quantity) func(*rand.Rand, *recorder) ([]quantity, bool) {
	return func(_ *rand.Rand, rec *recorder) ([]quantity, bool) {
		if !rec.logs(a) || !rec.logs(b) {
			return nil, false
		}
		rec.onBend(func(_ time.Time, x *reading) { x[a], x[b] = x[b], x[a] })
		return []quantity{a, b}, true
	}
}

func loose(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, []quantity{suctionTemp, liquidTemp})
	gain, lag := draw(r, rec.sizes.Loose), draw(r, rec.sizes.LooseLag)
	var felt float64
	var last time.Time
	rec.onBend(func(now time.Time, x *reading) {
		to := x[q] + gain*(rec.set.surround-x[q])
		if last.IsZero() {
			felt = to
		}
		felt += (to - felt) * min(1, now.Sub(last).Seconds()/lag)
		last, x[q] = now, felt
	})
	return []quantity{q}, true
}

func fallsOff(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, []quantity{suctionTemp, liquidTemp})
	from, lag := rec.moment(r), draw(r, rec.sizes.FallenLag)
	rec.since = from
	rec.onBend(func(now time.Time, x *reading) {
		if after := now.Sub(from).Seconds(); after > 0 {
			x[q] = rec.set.surround + (x[q]-rec.set.surround)*decay(after, lag)
		}
	})
	return []quantity{q}, true
}

func sticks(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, rec.visit.channels)
	from := rec.moment(r)
	rec.since = from
	var held float64
	rec.onShow(func(now time.Time, k quantity, v float64) float64 {
		if k != q {
			return v
		}
		if now.Before(from) {
			held = v
		}
		return held
	})
	return []quantity{q}, true
}

func errorCodes(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, []quantity{suctionTemp, liquidTemp, outdoorTemp})
	code := pick(r, []string{"OL", "---", "-127", "999.9", "85", "n/a"})
	from := rec.moment(r)
	to := from.Add(minutes(draw(r, rec.sizes.ErrorCodes)))
	rec.since = from
	rec.onCell(func(now time.Time, k quantity) string {
		if k == q && !now.Before(from) && now.Before(to) {
			return code
		}
		return ""
	})
	return []quantity{q}, true
}

func hoseClosed(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, []quantity{suctionPressure, dischargePressure})
	var shut float64
	var from time.Time
	rec.onBend(func(now time.Time, x *reading) {
		if from.IsZero() {
			from, shut = now, x[q]
		}
		x[q] = shut - (shut-rec.set.air)*0.1*(1-decay(now.Sub(from).Seconds(), 1500))
	})
	return []quantity{q}, true
}

func clockOff(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	switch start := rec.visit.start; {
	case r.Float64() < 0.4:
		off := minutes(60 * draw(r, rec.sizes.ClockHours)).Round(time.Second)
		rec.clock = func(t time.Time) time.Time { return t.Add(off) }
		rec.unseen = off.Abs() < 24*time.Hour
	case r.Float64() < 0.5 && start.Day() <= 12 && start.Day() != int(start.Month()):
		rec.clock = func(t time.Time) time.Time {
			y, m, d := t.Date()
			return time.Date(y, time.Month(d), int(m), t.Hour(), t.Minute(), t.Second(), 0, t.Location())
		}
	default:
		zero := time.Date(2000, 1, 1, 0, 0, 0, 0, start.Location())
		rec.clock = func(t time.Time) time.Time { return zero.Add(t.Sub(start)) }
	}
	return nil, true
}

func coarse(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	rec.every = max(rec.every, minutes(draw(r, rec.sizes.Coarse)/60).Round(time.Second))
	rec.gapFrom = rec.moment(r)
	rec.gapTo = rec.gapFrom.Add(6 * rec.every)
	return nil, true
}

func short(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	if !rec.visit.work.IsZero() {
		return nil, false
	}
	rec.visit.length = minutes(draw(r, rec.sizes.Short))
	return nil, true
}

func pullDown(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	if rec.machine.source != roomAir && rec.machine.source != chilledWater || rec.machine.heats(rec.visit.start) || !rec.visit.work.IsZero() {
		return nil, false // nothing is pulled down that draws on the outdoor air
	}
	rec.visit.warm = draw(r, rec.sizes.PullDown)
	rec.visit.standing = 2 * time.Minute
	return nil, true
}

// otherCircuit runs at pressures of its own, and stops and starts by itself.
func otherCircuit(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	share, rise := draw(r, rec.sizes.OtherShare), draw(r, rec.sizes.OtherRise)
	period, duty := between(r, 700, 1100), between(r, 0.6, 0.8)
	var level float64
	var last time.Time
	rec.onBend(func(now time.Time, x *reading) {
		to := share * x[suctionPressure] * (1 + 0.03*rec.machine.wave(now, 700))
		if math.Mod(now.Sub(rec.visit.start).Seconds(), period) > duty*period {
			to *= rise
		}
		if last.IsZero() {
			level = to
		}
		level += (to - level) * (1 - decay(now.Sub(last).Seconds(), 90))
		last, x[suctionPressure] = now, level
	})
	return []quantity{suctionPressure}, true
}

// stepped switches a part of the compressors off and on again.
func stepped(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	m := rec.machine
	if !m.variable && !m.staged || !rec.visit.work.IsZero() {
		return nil, false
	}
	from := rec.moment(r)
	rec.visit.step = step{from, from.Add(minutes(draw(r, rec.sizes.StepFor))), draw(r, rec.sizes.Step)}
	rec.since = from
	return []quantity{power, speed}, true
}

// gasLine puts probe and hose of the suction side on the line that carries the hot
// gas to the room.
func gasLine(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	if !rec.machine.heats(rec.visit.start) {
		return nil, false
	}
	lost, cooled := between(r, 5, 20), between(r, 3, 8)
	rec.onBend(func(_ time.Time, x *reading) {
		x[suctionPressure], x[suctionTemp] = x[dischargePressure]-lost, x[dischargeTemp]-cooled
	})
	return []quantity{suctionPressure, suctionTemp}, true
}

// worked has somebody stop the machine and look into it.
func worked(_ *rand.Rand, rec *recorder) ([]quantity, bool) {
	if !rec.visit.work.IsZero() || rec.visit.length < rec.visit.after {
		return nil, false
	}
	rec.since = rec.visit.intervene()
	return nil, true
}

func channelMissing(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, []quantity{suctionTemp, liquidTemp, outdoorTemp})
	i := slices.Index(rec.visit.channels, q)
	if i < 0 {
		return nil, false
	}
	rec.visit.channels = slices.Delete(slices.Clone(rec.visit.channels), i, i+1)
	return []quantity{q}, true
}

func probeOnCoil(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	if !rec.logs(sourceIn) {
		return nil, false
	}
	f, above := rec.machine.fluid(rec.visit.start), draw(r, rec.sizes.OnCoil)
	rec.onBend(func(_ time.Time, x *reading) { x[sourceIn] = f.Dew(x[suctionPressure]) + above })
	return []quantity{sourceIn}, true
}

// shifted moves a channel by a large offset, up or down.
func shifted(q quantity, way float64, by func(*Sizes) Range) func(*rand.Rand, *recorder) ([]quantity, bool) {
	return func(r *rand.Rand, rec *recorder) ([]quantity, bool) {
		d := way * draw(r, by(rec.sizes))
		rec.unseen = rec.withinLimit(q, d)
		rec.onBend(func(_ time.Time, x *reading) { x[q] += d })
		return []quantity{q}, rec.logs(q)
	}
}

func wrongPower(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	factor := pick(r, []float64{1.0 / 3, 1.0 / 3, 1000})
	rec.onBend(func(_ time.Time, x *reading) { x[power] *= factor })
	return []quantity{power}, rec.logs(power)
}

func zeroLost(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	q := pick(r, []quantity{suctionPressure, dischargePressure})
	d := draw(r, rec.sizes.Zero)
	rec.unseen = rec.withinLimit(q, d)
	rec.onBend(func(_ time.Time, x *reading) { x[q] += d })
	return []quantity{q}, true
}

// withinLimit tells whether an error is no larger than what the instrument may be off anyway,
// by its class.
func (rec *recorder) withinLimit(q quantity, by float64) bool {
	return math.Abs(by) <= rec.visit.kit.class.limit(q)
}

func markChanges(r *rand.Rand, rec *recorder) ([]quantity, bool) {
	if rec.dialect.delimiter == ',' {
		return nil, false
	}
	from := rec.moment(r)
	rec.since = from
	rec.markChange = from
	return nil, true
}
