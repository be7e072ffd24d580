package ingest

import (
	"encoding/binary"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// A clockShape is what stands around the hh:mm:ss of a stamp: a stamp that has the same
// around its own is on the same day, and as far from UTC.
type clockShape struct {
	prefix  []byte // date and joint; empty where stamps cannot be read that way
	suffix  []byte // the offset from UTC, where one is printed
	shifted bool   // one is
	shift   int64  // by which the stamp is ahead of UTC, in microseconds
}

const clockSize = len("hh:mm:ss")

// size is that of a stamp of the shape.
func (c *clockShape) size() int { return len(c.prefix) + clockSize + len(c.suffix) }

// take keeps the shape of a stamp that was read with care.
func (c *clockShape) take(cell []byte, s clock.Stamp, micros int64) {
	c.prefix, c.suffix = c.prefix[:0], c.suffix[:0]
	c.shifted, c.shift = s.HasShift, int64(s.Offset)*clock.Second
	at := s.ClockEnd - clockSize
	if at <= 0 || at < s.DateEnd || s.DateEnd == 0 || s.Interval || s.Half != 0 || s.HasShift == (s.ClockEnd == len(cell)) || !s.HasShift && s.Zone != "" {
		return
	}
	if day, _, ok := clockTime(cell[at:]); ok && day == micros && !scan.IsDigit(cell[at-1]) {
		c.prefix = append(c.prefix, cell[:at]...)
		c.suffix = append(c.suffix, cell[s.ClockEnd:]...)
	}
}

// clockTime reads hh:mm:ss.
func clockTime(c []byte) (micros, hours int64, ok bool) {
	const (
		zeros = '0'*eachByte ^ ('0'^':')<<16 ^ ('0'^':')<<40 // 00:00:00
		room  = 0x76*eachByte + 9<<16 + 9<<40                // what each byte may be above that
	)
	x := binary.LittleEndian.Uint64(c) ^ zeros
	if (x+room|x)&highBits != 0 {
		return 0, 0, false
	}
	x = x*10 + x>>8 // pairs of digits as numbers
	h, m, s := x&0xff, x>>24&0xff, x>>48&0xff
	return int64(h*3600+m*60+s) * clock.Second, int64(h), h <= 23 && m <= 59 && s <= 59
}
