package demofleet

import (
	"math/rand/v2"
	"time"

	"rimelog/ingest/demofleet/plant"
)

// A levelSensor sits on a receiver. It is the machine's own: whoever logs, logs the
// same one, so that its error stays.
type levelSensor struct {
	levelled bool
	offset   float64 // %
	gain     float64 // what it shows too much, as a share
}

// ripple is how far the level moves from sample to sample, % (boiling and splashing;
// common practice, no source).
const ripple = 0.5

// sense settles which signals of the machine's own controls are logged.
func (m *machine) sense(r *rand.Rand, mix *Mix) {
	level, position := r.Float64(), r.Float64()
	off := mix.Sensors.Level
	m.levelSensor = levelSensor{m.truth.Receiver && level < mix.Machines.ReceiverLevel, off * r.NormFloat64(), off / 100 * r.NormFloat64()}
	m.positioned = m.sketched.Expansion == plant.Electronic && position < mix.Machines.ValvePosition
	m.truth.LevelSensor = m.levelled
}

// signals are the channels of the machine's own controls.
func (m *machine) signals() (list []quantity) {
	if m.levelled {
		list = append(list, level)
	}
	if m.positioned {
		list = append(list, opening)
	}
	return list
}

// sensed is what the sensor makes of the level.
func (s levelSensor) sensed(_ time.Time, x *reading) { x[level] = s.offset + (1+s.gain)*x[level] }

// levelWith is the receiver's level with a charge at the design point, where no point
// is known that it runs at.
func (m *machine) levelWith(charge float64) float64 {
	reserve := m.plant.Reserve(m.point)
	if reserve == 0 {
		return 0
	}
	return min(max(m.point.Level*(1+(charge-m.plant.RatedCharge)/reserve), 0), 1)
}
