package register

import (
	"testing"
	"time"
)

// Before a retrofit the machine held what the events up to it say, whatever the row says
// today: common sense, no source.
func TestFilledBeforeARetrofit(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2024, 1, n, 0, 0, 0, 0, time.UTC) }
	s := NewSystem("A1")
	s.RefrigerantName = "R449A"
	told := []Event{{Kind: Install, Time: day(1), Refrigerant: "R22"}, {Kind: Retrofit, Time: day(10), Refrigerant: "R407C"}, {Kind: Retrofit, Time: day(20), Refrigerant: "R449A"}}
	for _, c := range []struct {
		day    int
		events []Event
		want   string
	}{
		{5, told, "R22"}, {10, told, "R407C"}, {15, told, "R407C"}, {20, told, "R449A"}, {25, told, "R449A"},
		{5, told[1:], ""}, {5, nil, "R449A"},
		{5, append([]Event{{Kind: ChargeAdded, Time: day(7), Refrigerant: "R404A"}}, told[1:]...), "R404A"},
	} {
		if got := s.Filled(c.events, day(c.day)).RefrigerantName; got != c.want {
			t.Errorf("day %d of %d events: %q, want %q", c.day, len(c.events), got, c.want)
		}
	}
	if got := Refills(told); len(got) != 2 || !got[0].Equal(day(10)) {
		t.Errorf("refills %v", got)
	}
}
