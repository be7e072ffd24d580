package drift

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// every are points so far apart, with the temperatures of the medium entering the condenser.
func every(apart time.Duration, medium ...float64) (out []point) {
	for i, t := range medium {
		out = append(out, point{at: time.Unix(0, 0).Add(time.Duration(i) * apart), condensing: 30, values: []float64{6, 7, 30 - t, 9, 30}})
	}
	return out
}

// Weekly points are those of a logger that stays, monthly ones are visits.
func TestALoggerThatStaysIsToldFromVisits(t *testing.T) {
	const week = 7 * 24 * time.Hour
	if !logged(every(week, 10, 11, 12)) || logged(every(4*week, 10, 11, 12)) || logged(every(week, 10)) {
		t.Error("weekly points are a logger's, monthly ones and a single one are not")
	}
}

// What fans do in colder weather than any before is looked at as soon as it is that cold, and once.
func TestColderWeatherShowsWhatFansDo(t *testing.T) {
	points := every(7*24*time.Hour, 20, 15, 12, 11.5, 10.5, math.NaN(), 14)
	for found, want := range map[int]bool{3: true, 5: false, 7: false} {
		w := weighing{points: points[:found]}
		w.take()
		if w.points = points; w.colder() != want || w.colder() != want {
			t.Errorf("found from %d of %d points: colder %v, want %v", found, len(points), w.colder(), want)
		}
	}
}

// Where a logger stays, what is said for a change that no known fault explains is what its clearest
// gauge says, and little of the others; of a known fault, and of visits, all is.
func TestGaugesBesideTheClearestSayLittleForTheUnknown(t *testing.T) {
	says := [][]float64{{400}, {50}, {-2}, {3}}
	unknown := fault{kind: Unclear, moves: map[string]move{Subcooling: tells(0, 3, 0, 0.6)}}
	known := fault{kind: ChargeLoss, moves: unknown.moves}
	for _, c := range []struct {
		stays bool
		of    fault
		want  float64
	}{{true, unknown, 400 + mostBeside - 2 + 3}, {false, unknown, 451}, {true, known, 451}} {
		if got := (diagnosis{stays: c.stays}).together(&c.of, says, 0); got != c.want {
			t.Errorf("%s, a logger stays %v: %v, want %v", c.of.kind, c.stays, got, c.want)
		}
	}
}

// Gas is told by the pressure that it raises, however far the evaporator behind a fixed opening
// moves.
func TestGasIsToldByThePressureThatItRaises(t *testing.T) {
	s := register.System{Kind: register.AirConditioning, Expansion: register.Orifice}
	for condenser, want := range map[float64]string{2: CondenserTD, -2: ""} {
		var b begins
		b.readings[place(Superheat)] = reading{-8, 0.1}.sighted()
		b.readings[place(EvaporatorTD)] = reading{-3, 0.1}.sighted()
		for k := range b.condenser {
			b.condenser[k] = reading{condenser, 0.3}.sighted()
		}
		for _, f := range faults(s, setting{}) {
			if f.kind != Gas {
				continue
			}
			x := suspect{best: candidate{fault: &f, begins: &b}}
			if got := x.carrier(); got != want {
				t.Errorf("condenser's difference %+.0f K: told by %q, want %q", condenser, got, want)
			}
		}
	}
}
