package trust

import (
	"fmt"
	"slices"
	"testing"

	"rimelog/analysis/cycle"
)

// day makes a visit of a cold room one of a logger that stays, whose files hold so many days.
func day(f *Facts, k, perFile int) { f.Day, f.Paths = true, []string{fmt.Sprintf("%d.csv", k/perFile)} }

// A day that is far from all others is another machine's where a file begins with it, and never
// in the middle of a file that began as this one's: nobody moves a logger for a day.
func TestNoDayOfAFileIsAnotherMachines(t *testing.T) {
	const odd = 14
	for perFile, want := range map[int]bool{7: true, 5: false} {
		system, visits := coldRoom(func(k int, f *Facts) {
			if day(f, k, perFile); k == odd {
				shift(f, -20, cycle.Superheat, cycle.EvaporatorTD)
				shift(f, 25, cycle.Subcooling, cycle.CondenserTD)
			}
		})
		if got := rulesOf(Review(system, nil, nil, visits)[odd]); slices.Contains(got, "D32") != want {
			t.Errorf("files of %d days: %v; another machine's: want %v", perFile, got, want)
		}
	}
}

// A power meter that is wrong for longer than what is looked at of history is wrong all the
// while, and right once it is mended.
func TestAWrongMeterDoesNotBecomeUsual(t *testing.T) {
	const begins, ends, all = 20, 20 + 3*mostBefore, 20 + 3*mostBefore + 10
	system, visits := coldRoomOf(all, func(k int, f *Facts) {
		if day(f, k, 30); k >= begins && k < ends {
			f.Mean[cycle.Power.String()] /= 3
		}
	})
	for k, f := range Review(system, nil, nil, visits) {
		if got, want := f.says("D28"), k >= begins && k < ends; got != want {
			t.Fatalf("day %d: wrong meter %v, want %v", k, got, want)
		}
	}
}
