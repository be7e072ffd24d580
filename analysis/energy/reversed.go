package energy

import (
	"time"

	"rimelog/pipeline/register"
)

// Bounds by which an air conditioner is known to heat its room.
const (
	reversedBy  = 2.0            // K by which air leaves the room's coil warmer than it came
	heatingMost = 16.0           // outdoors, °C: EN 14825 knows no heating above
	coldCoil    = -3.0           // evaporating, °C: frost protection stops cooling there (common practice, no source)
	coolCoil    = 4.0            // evaporating, °C: rooms are mostly cooled by warmer coils (common practice, no source)
	sameMode    = 12 * time.Hour // a machine is seldom turned over more often
)

// What a window says of the direction.
const (
	cools = iota
	heats
	either
)

// reversed tells of each window whether an air conditioner heated its room: by the air
// of the room's coil; or else by an evaporating temperature below the outdoor air's that
// no cooling of a room has in such weather. Where that could be either, it is as in the
// nearest window that is sure.
func (l *Log) reversed(m *Machine, windows []Window) []bool {
	out := make([]bool, len(windows))
	if m.Kind != register.AirConditioning {
		return out
	}
	says := make([]int, len(windows))
	for n, w := range windows {
		i, j := l.Rows(w.Start.UnixMicro(), w.End.UnixMicro())
		if i < j {
			says[n] = m.says(l.State(i, j), w.OutdoorTemp)
		}
	}
	for n, s := range says {
		out[n] = s == heats || s == either && nearestSure(windows, says, n) == heats
	}
	return out
}

// says is what a window's state says of the direction.
func (m *Machine) says(s State, outdoor float64) int {
	out, te := firstOf(s.Outdoor, outdoor), m.evaporating(s)
	switch {
	case finite(s.EvaporatorAirOff - s.EvaporatorAirOn):
		if s.EvaporatorAirOff > s.EvaporatorAirOn+reversedBy {
			return heats
		}
	case !(out < heatingMost && te < out && te < coolCoil):
	case te < coldCoil:
		return heats
	default:
		return either
	}
	return cools
}

// nearestSure is what the nearest sure window says; cools where there is none near.
func nearestSure(windows []Window, says []int, n int) int {
	best, at := sameMode, cools
	for step := -1; step <= 1; step += 2 {
		for i := n + step; i >= 0 && i < len(says); i += step {
			apart := windows[i].Start.Sub(windows[n].Start).Abs()
			if apart > best {
				break
			}
			if says[i] != either {
				best, at = apart, says[i]
				break
			}
		}
	}
	return at
}
