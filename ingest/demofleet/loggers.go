package demofleet

import (
	"fmt"
	"time"
)

// plain are the trade's words for the channels.
var plain = map[quantity]string{
	suctionPressure: "Suction pressure", dischargePressure: "Discharge pressure",
	suctionTemp: "Suction temperature", dischargeTemp: "Discharge temperature", liquidTemp: "Liquid temperature",
	outdoorTemp: "Outdoor temperature",
	sourceIn:    "Evaporator inlet medium", sourceOut: "Evaporator outlet medium",
	source2In: "Evaporator 2 inlet medium", source3In: "Evaporator 3 inlet medium",
	sinkIn: "Condenser inlet medium", sinkOut: "Condenser outlet medium",
	power: "Power", speed: "Compressor speed", level: "Receiver level", opening: "Valve opening",
	heatFlow: "Heat meter flow", energyCount: "Energy", humidity: "Room humidity",
}

// codes are the terse names of a logger that leaves it to the user which probe
// hangs where.
var codes = map[quantity]string{
	suctionPressure: "P1", dischargePressure: "P2", suctionTemp: "T1", liquidTemp: "T2", dischargeTemp: "T3",
	outdoorTemp: "T4", sourceIn: "T5", sourceOut: "T6", sinkIn: "T7", sinkOut: "T8", source2In: "T9", source3In: "T10",
	power: "W1", speed: "F1", level: "L1", opening: "S1", heatFlow: "V1", energyCount: "E1", humidity: "H1",
}

// metric are the units of most loggers.
func metric(p unit) map[unitClass]unit {
	return map[unitClass]unit{
		pressures: p, temperatures: celsius, powers: kilowatt, speeds: hertz, shares: tenthPercent,
		flows: cubicMetre, energies: kilowattHour, humidities: percent,
	}
}

// A logger is a make that the firm has, with the instruments that come with it.
type logger struct {
	kit      string // names of its kits begin with this
	dialect  dialect
	class    class
	interval time.Duration
}

// loggers are those the firm carries about.
var loggers = []logger{
	{"PQ", pelliq, fair, 15 * time.Second},
	{"TV", torvane, fine, 10 * time.Second},
	{"DB", drellbox, fair, 30 * time.Second},
	{"UM", umbrik, simple, 20 * time.Second},
	{"YF", yoffle, fair, 15 * time.Second},
}

// stayers are those that stay on a machine, one after the other. The first says how
// far its clock is from UTC; the second follows the clocks of the place.
var stayers = []logger{{kit: "OK", dialect: oskelund, class: fine}, {kit: "VH", dialect: varnholm, class: fine}}

// The invented loggers.
var (
	pelliq = dialect{
		logger: "Pelliq", extension: "csv", delimiter: ';', comma: true, lineEnd: "\r\n", unitForm: "N [U]",
		stamp: layout("02.01.2006 15:04:05"), timeNames: []string{"Date time"},
		names: plain, units: metric(bar.as("bar(g)", true)),
	}
	torvane = dialect{
		logger: "Torvane", extension: "csv", delimiter: ',', lineEnd: "\n", unitForm: "N (U)",
		stamp: layout("2006-01-02T15:04:05Z"), timeNames: []string{"Time"}, utc: true,
		names: plain, units: metric(bar.as("bar abs", false)),
	}
	drellbox = dialect{
		logger: "Drellbox", extension: "txt", delimiter: '\t', lineEnd: "\r\n", unitRow: true,
		stamp: layout("2006/01/02 15:04:05"), timeNames: []string{"Timestamp"},
		preamble: func(i fileInfo) []string {
			return []string{
				"Drellbox record", "Serial: " + i.serial, "Interval: " + fmt.Sprintf("%d s", int(i.interval/time.Second)),
				"Started: " + i.start.Format("2006/01/02 15:04:05"), "",
			}
		},
		names: plain, units: metric(kilopascal.as("kPa gauge", true)),
	}
	umbrik = dialect{
		logger: "Umbrik", extension: "csv", delimiter: ',', lineEnd: "\r\n", quote: true, unitForm: "N (U)",
		stamp: layout("01/02/2006 03:04:05 PM"), timeNames: []string{"Date/Time"},
		preamble: func(i fileInfo) []string {
			return []string{"Umbrik export, unit " + i.serial + ", dates are month/day/year"}
		},
		names: plain,
		units: map[unitClass]unit{
			pressures: psi.as("psig", true), temperatures: fahrenheit, powers: watt, speeds: hertz, shares: tenthPercent,
			flows: cubicMetre, energies: kilowattHour, humidities: percent,
		},
	}
	yoffle = dialect{
		logger: "Yoffle", extension: "csv", delimiter: ';', comma: true, lineEnd: "\n", unitForm: "N U",
		stamp: twoColumns("2006-01-02", "15:04:05"), timeNames: []string{"Date", "Time"},
		footer: true, names: codes, units: metric(bar.as("bar", true)),
	}
	varnholm = dialect{
		logger: "Varnholm", extension: "csv", delimiter: ';', comma: true, lineEnd: "\r\n", unitForm: "N (U)",
		stamp: layout("02.01.2006 15:04:05"), timeNames: []string{"Date time"},
		names: plain, units: metric(bar.as("bar(a)", false)),
	}
	oskelund = dialect{
		logger: "Oskelund", extension: "csv", delimiter: ',', lineEnd: "\n", unitForm: "N [U]", first: "\uFEFF",
		stamp: layout("2006-01-02 15:04:05-07:00"), timeNames: []string{"Time"},
		names: plain, units: metric(kilopascal.as("kPa abs", false)),
	}
)
