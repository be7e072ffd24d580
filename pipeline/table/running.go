package table

import "time"

// A Phase is a stretch of a log in which a machine did one thing.
type Phase struct {
	Start   time.Time `col:"start" doc:"first sample, UTC"`
	End     time.Time `col:"end" doc:"last sample, UTC; a stretch ends at a hole in the log and at the month's end"`
	State   string    `col:"state" doc:"off, starting, running, pump-down, defrost, after defrost, reversed, or hoses in the air"`
	Minutes float64   `col:"lasts_min" unit:"min" doc:"how long: each sample stands for the usual distance of samples"`
	Samples int64     `col:"samples" doc:"samples"`

	Capacity float64 `col:"capacity_pct" unit:"%" doc:"compressor speed, or else power, of the highest that the month shows; a stretch ends where it steps to another stage or speed" method:"power is divided by what compressing between these pressures takes"`
	Speed    float64 `col:"compressor_speed_hz" unit:"Hz" doc:"mean speed of the compressor"`
	Power    float64 `col:"power_kw" unit:"kW" doc:"mean electric power of what the meter covers"`

	Excluded  string `col:"excluded" doc:"why it is judged by no window; empty where it may be"`
	KnownBy   string `col:"known_by" doc:"logged (a state of the log says so) or detected (worked out from what was measured)"`
	RunningBy string `col:"running_by" doc:"what says that the compressor ran: logged, speed, power, current, pressures, or assumed where nothing does"`
}

// The states of a phase.
const (
	IsOff          = "off"
	IsStarting     = "starting"
	IsRunning      = "running"
	IsPumpDown     = "pump-down"
	IsDefrost      = "defrost"
	IsAfterDefrost = "after defrost"
	IsReversed     = "reversed"
	IsHosesInAir   = "hoses in the air"
)

// Running holds what machines did, stretch by stretch.
func Running() Table {
	return of[Phase]("running", BySystemMonth, "what the machine did, stretch by stretch: off, starting, running at which capacity, defrost, pump-down, reversed; and why a stretch is not judged")
}
