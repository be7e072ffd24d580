package register

import (
	"bytes"
	"strings"
)

// ChannelLine prints a row of channels.csv ready to paste.
func ChannelLine(c Channel) string {
	if c.Sign == 0 {
		c.Sign = 1
	}
	if c.Index == 0 {
		c.Index = 1
	}
	var b bytes.Buffer
	if err := WriteChannels(&b, []Channel{c}); err != nil {
		return ""
	}
	return lastLine(b.String())
}

// InstrumentLine prints a row of instruments.csv ready to paste.
func InstrumentLine(i Instrument) string {
	var b bytes.Buffer
	if err := WriteInstruments(&b, []Instrument{i}); err != nil {
		return ""
	}
	return lastLine(b.String())
}

func lastLine(text string) string {
	lines := strings.Split(strings.TrimRight(text, "\r\n"), "\n")
	return strings.TrimRight(lines[len(lines)-1], "\r")
}
