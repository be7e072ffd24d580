package analysis

import (
	"math"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
)

// A filling is the part of a month in which one refrigerant was in a system.
type filling struct {
	system   register.System // as it was filled then
	month    dataset.Month   // the part
	from, to int64           // since when and until when it was so, microseconds since 1970
}

// fillings cuts a month of a system where a retrofit filled in another refrigerant.
func (s *Stage) fillings(system register.System, m dataset.Month) (parts []filling) {
	events := s.Register.Events(system.ID)
	from := int64(math.MinInt64)
	for _, at := range append(register.Refills(events), time.UnixMicro(math.MaxInt64)) {
		part := filling{month: m, from: from, to: at.UnixMicro()}
		part.month.From, part.month.To = max(m.From, part.from), min(m.To, part.to)
		if part.month.From < part.month.To {
			part.system = system.Filled(events, time.UnixMicro(part.month.From))
			parts = append(parts, part)
		}
		from = part.to
	}
	return parts
}
