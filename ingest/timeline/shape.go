package timeline

import (
	"encoding/binary"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
)

// A clockShape is what stands around the hh:mm:ss of a stamp: a stamp that has the same
// around its own is on the same day, and as far from UTC.
type clockShape struct {
	Prefix  []byte // date and joint; empty where stamps cannot be read that way
	Suffix  []byte // the offset from UTC, where one is printed
	shifted bool   // one is
	shift   int64  // by which the stamp is ahead of UTC, in microseconds
}

// ClockSize is how many bytes a time of day has.
const ClockSize = len("hh:mm:ss")

// Size is that of a stamp of the shape.
func (c *clockShape) Size() int { return len(c.Prefix) + ClockSize + len(c.Suffix) }

// take keeps the shape of a stamp that was read with care.
func (c *clockShape) take(cell []byte, s clock.Stamp, micros int64) {
	c.Prefix, c.Suffix = c.Prefix[:0], c.Suffix[:0]
	c.shifted, c.shift = s.HasShift, int64(s.Offset)*clock.Second
	at := s.ClockEnd - ClockSize
	if at <= 0 || at < s.DateEnd || s.DateEnd == 0 || s.Interval || s.Half != 0 || s.HasShift == (s.ClockEnd == len(cell)) || !s.HasShift && s.Zone != "" {
		return
	}
	if day, _, ok := ClockTime(cell[at:]); ok && day == micros && !scan.IsDigit(cell[at-1]) {
		c.Prefix = append(c.Prefix, cell[:at]...)
		c.Suffix = append(c.Suffix, cell[s.ClockEnd:]...)
	}
}

// ClockTime reads hh:mm:ss.
func ClockTime(c []byte) (micros, hours int64, ok bool) {
	const (
		zeros = '0'*EachByte ^ ('0'^':')<<16 ^ ('0'^':')<<40 // 00:00:00
		room  = 0x76*EachByte + 9<<16 + 9<<40                // what each byte may be above that
	)
	x := binary.LittleEndian.Uint64(c) ^ zeros
	if (x+room|x)&HighBits != 0 {
		return 0, 0, false
	}
	x = x*10 + x>>8 // pairs of digits as numbers
	h, m, s := x&0xff, x>>24&0xff, x>>48&0xff
	return int64(h*3600+m*60+s) * clock.Second, int64(h), h <= 23 && m <= 59 && s <= 59
}

// Eight bytes are looked at together as one number.
const (
	EachByte = 0x0101010101010101
	HighBits = 0x80 * EachByte
)
