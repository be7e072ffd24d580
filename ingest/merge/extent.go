package merge

// An Extent is what rows in order of time say of the file's time.
type Extent struct {
	Rows        int64
	First, Last int64
	Steps       []int64 // the first ones between different times
}

// MostSteps is how many steps between samples are looked at.
const MostSteps = 1000

func (e *Extent) note(times []int64) {
	if e.Rows == 0 && len(times) > 0 {
		e.First, e.Last = times[0], times[0]
	}
	e.Rows += int64(len(times))
	for _, t := range times {
		if len(e.Steps) == MostSteps {
			break
		}
		if t > e.Last {
			e.Steps = append(e.Steps, t-e.Last)
		}
		e.Last = t
	}
	if len(times) > 0 {
		e.Last = times[len(times)-1]
	}
}
