package drift

import (
	"fmt"

	"rimelog/analysis/condition"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// How much of a visit must lie beyond a limit (common practice, no source): a moment is
// none, and what oscillates about a limit is told by its share.
const (
	wetMinutes, wetShare = 5, 0.1
	hotMinutes           = 5
	longMinutes          = 10
	highShare            = 0.25
	flashShare           = 0.75
	stopShare            = 0.5
	startMinutes         = 60 // of log that starts are counted over
	warmMinutes          = 120
	warmShare            = 0.9
	pullDown             = -0.5 // K/h: a room that still gets colder is on its way
	hotterThan           = 1    // K above the limit that a probe on a pipe may be off
	sureBy               = 2    // standard uncertainties below a limit, so that instruments alone raise nothing
)

// liquidReturn is a machine whose superheat and discharge superheat are low together.
func liquidReturn() standing {
	return standing{
		kind: LiquidReturn, bounds: []register.LimitName{register.LeastSuperheat, register.LeastHotGas}, feature: Superheat, urgency: 2,
		beyond: func(c *table.Condition, b *condition.Bounds) verdict {
			return seen(watched(c, c.Wet) && (c.Wet == 0 || c.SuperheatU >= 0 && c.DischargeU >= 0), c.Wet >= wetMinutes && c.Wet >= wetShare*c.Watched &&
				c.WetSuperheat+sureBy*c.SuperheatU < b[register.LeastSuperheat].Value && c.WetDischarge+sureBy*c.DischargeU < b[register.LeastHotGas].Value)
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("superheat %.1f K and discharge superheat %.1f K for %.0f of %.0f minutes, the longest %.0f in a row", c.WetSuperheat, c.WetDischarge, c.Wet, c.Watched, c.WetLongest)
		},
		size: func(c *table.Condition, b *condition.Bounds) float64 {
			return c.WetSuperheat - b[register.LeastSuperheat].Value
		},
		alternative: "a suction and a discharge probe that read low; another refrigerant than the register has; a discharge line that gives off heat before the probe",
		nextCheck:   "compare both probes with another; look at the valve's bulb, its superheat setting and the airflow over the evaporator, before liquid harms the compressor",
		applies:     func(s register.System) bool { return s.Expansion != register.Flooded },
	}
}

// hotGas is a machine whose discharge gas is hot.
func hotGas() standing {
	return standing{
		kind: HotGas, bounds: []register.LimitName{register.MostDischargeTemp}, feature: "discharge_temp_c", urgency: 1.5,
		beyond: func(c *table.Condition, b *condition.Bounds) verdict {
			return seen(watched(c, c.Hot), c.HotLongest >= hotMinutes && c.HotTemp > b[register.MostDischargeTemp].Value+hotterThan)
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("discharge gas %.0f °C for %.0f of %.0f minutes, the longest %.0f in a row", c.HotTemp, c.Hot, c.Watched, c.HotLongest)
		},
		size: func(c *table.Condition, b *condition.Bounds) float64 {
			return c.HotTemp - b[register.MostDischargeTemp].Value
		},
		alternative: "a maker who allows more: write the limit into register/limits.csv; a refrigerant that gets hot by nature",
		nextCheck:   "look for too much superheat, a high condensing or a low evaporating temperature, and at the compressor's cooling; the pipe is hot enough to burn skin",
	}
}

// highRatio is a machine whose pressures stand too far apart.
func highRatio() standing {
	return standing{
		kind: HighRatio, bounds: []register.LimitName{register.MostPressureRatio}, urgency: 1,
		beyond: func(c *table.Condition, _ *condition.Bounds) verdict {
			return longEnough(c, c.High, c.HighLongest, highShare)
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("pressure ratio %.1f for %.0f of %.0f minutes", c.PressureRatio, c.High, c.Watched)
		},
		alternative: "a compressor with vapour injection or two stages: write its limit into register/limits.csv; a pressure reference that is wrong",
		nextCheck:   "compare both pressures with the maker's envelope; look at the evaporator's load and airflow, and at the condenser",
	}
}

// longEnough says whether what was beyond a limit for some minutes, the longest of them in a row, lasted
// and was a share of what was watched.
func longEnough(c *table.Condition, minutes, longest, share float64) verdict {
	return seen(watched(c, minutes), longest >= longMinutes && minutes >= share*c.Watched)
}

// noSubcooling is a machine behind whose condenser no liquid stands.
func noSubcooling() standing {
	return standing{
		kind: NoSubcooling, bounds: []register.LimitName{register.LeastSubcooling}, feature: Subcooling, urgency: 1,
		beyond: func(c *table.Condition, b *condition.Bounds) verdict {
			return seen(watched(c, c.Flash) && saturated(c), bare(c, b, sureBy))
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("subcooling %.1f K for %.0f of %.0f minutes", c.FlashSubcooling, c.Flash, c.Watched)
		},
		size: func(c *table.Condition, b *condition.Bounds) float64 {
			return c.FlashSubcooling - b[register.LeastSubcooling].Value
		},
		alternative: "a liquid probe that reads high; a discharge pressure that reads low; a pressure tap before a long pipe",
		nextCheck:   "direct leak check recommended; compare the liquid probe with another and look into the sight glass",
		applies:     func(s register.System) bool { return s.Receiver == register.NoReceiver },
		where:       liquidStands,
	}
}

// saturated tells whether subcooling that was gone lay no farther below zero than instruments
// err: liquid with gas in it has the temperature of saturation, so that data of such a visit
// are wrong.
func saturated(c *table.Condition) bool {
	return c.Flash == 0 || c.FlashSubcooling+sureBy*c.SubcoolingU >= 0
}

// bare tells whether subcooling was gone for long enough, by so many standard uncertainties.
func bare(c *table.Condition, b *condition.Bounds, by float64) bool {
	return c.Flash >= flashShare*c.Watched && c.FlashSubcooling+by*c.SubcoolingU < b[register.LeastSubcooling].Value
}

// valveAtStop is a machine whose expansion valve cannot open further.
func valveAtStop() standing {
	return standing{
		kind: ValveAtStop, bounds: []register.LimitName{register.MostValveOpening}, urgency: 0.8,
		beyond: func(c *table.Condition, _ *condition.Bounds) verdict {
			return longEnough(c, c.Stop, c.StopLongest, stopShare)
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("expansion valve %.0f %% open for %.0f of %.0f minutes", c.ValveOpening, c.Stop, c.Watched)
		},
		alternative: "more load than the valve was chosen for; a controller that writes another signal",
		nextCheck:   "look at superheat and subcooling with the valve open: flash gas, a blocked strainer or a valve too small",
	}
}

// routesApart is a machine of which two ways to find the heat give other figures than their
// uncertainties allow: something is measured wrong, or is not what the register says.
func routesApart() standing {
	return standing{
		kind: RoutesApart, urgency: 0.5, signs: true,
		alternative: "a flow, power or temperature that is measured wrong; one phase of three; another refrigerant, or another boundary of the power meter, than the register has; a compressor that is cooled from outside",
		nextCheck:   "measure power, flow and both water temperatures with a second instrument, and compare the discharge probe; until then no seasonal COP rests on these days",
	}
}

// shortCycling is a machine that starts too often.
func shortCycling() standing {
	return standing{
		kind: ShortCycling, bounds: []register.LimitName{register.MostStarts}, urgency: 0.8,
		beyond: func(c *table.Condition, b *condition.Bounds) verdict {
			return seen(c.Told && c.Observed >= startMinutes, 60*float64(c.Starts) > b[register.MostStarts].Value*c.Observed)
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("%d starts in %.0f minutes, %.1f an hour", c.Starts, c.Observed, 60*float64(c.Starts)/c.Observed)
		},
		alternative: "somebody who tried the machine; a meter that also covers something else which switches",
		nextCheck:   "look at the pressure switches and their differentials, the thermostat's place, and whether the machine is too large for its load",
	}
}

// setpointUnmet is a machine that runs while its room stays warm.
func setpointUnmet() standing {
	return standing{
		kind: SetpointUnmet, bounds: []register.LimitName{register.MostRoomTemp}, urgency: 1.2,
		beyond: func(c *table.Condition, b *condition.Bounds) verdict {
			return seen(watched(c, c.Warm), c.WarmLongest >= warmMinutes && c.Warm >= warmShare*c.Watched && c.Watched >= warmShare*c.Observed && !(c.RoomRate < pullDown))
		},
		said: func(c *table.Condition) string {
			return fmt.Sprintf("room at %.1f °C although the machine ran for %.0f of %.0f minutes", c.RoomTemp, c.Watched, c.Observed)
		},
		size: func(c *table.Condition, b *condition.Bounds) float64 {
			return c.RoomTemp - b[register.MostRoomTemp].Value
		},
		alternative: "warm goods brought in; a door that stands open; a room probe in the wrong place",
		nextCheck:   "look at doors and goods first, then at the evaporator's ice and fans, and at capacity",
		applies:     func(s register.System) bool { return !s.Kind.Heats() },
	}
}

// Outdoor temperatures of the season for which a machine's charge is chosen, °C: in the
// other, liquid moves to where it is colder, and a machine that is well has no subcooling
// (common practice, no source).
const (
	warmSeason = 15
	coldSeason = 10
)

// liquidStands tells whether liquid should stand behind the condenser.
func liquidStands(s register.System, c *table.Condition) bool {
	switch {
	case s.Kind == register.AirHeatPump:
		return c.OutdoorTemp <= coldSeason
	case s.Kind.Heats():
		return true
	}
	return c.OutdoorTemp >= warmSeason
}
