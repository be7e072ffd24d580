package demofleet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// unheardOf is a refrigerant that does not exist: a slip of the pen that keeps a
// system from being judged.
const unheardOf = "R1299q"

// lookAlike is what a refrigerant is taken for: one of similar pressures.
var lookAlike = map[string]string{
	"R134a": "R1234yf", "R1234yf": "R134a", "R404A": "R449A", "R449A": "R404A", "R410A": "R32", "R32": "R410A",
	"R22": "R290", "R290": "R22", "R600a": "R134a", "R717": "R22",
}

// poundsPerKG are avoirdupois pounds (0.45359237 kg each, by definition).
const poundsPerKG = 1 / 0.45359237

// A scribe writes the register with the slips of the mix, and remembers them.
type scribe struct {
	mix   Slips
	fleet *fleet
	slips []truth.Slip
}

// slip notes what was written in place of what is true.
func (s *scribe) slip(table, system, field string, is, written any) {
	s.slips = append(s.slips, truth.Slip{
		Table: table, System: system, Field: field, True: fmt.Sprint(is), Written: fmt.Sprint(written),
	})
}

// lots deals each slip to systems.
func (s *scribe) lots(name string, share float64) []bool {
	return deal(chance(s.fleet.options.Seed, "slip", name), share, len(s.fleet.machines))
}

// systems writes systems.csv.
func (s *scribe) systems() []register.System {
	rows := make([]register.System, len(s.fleet.machines))
	for i, m := range s.fleet.machines {
		rows[i] = m.row
	}
	for _, k := range []struct {
		name  string
		share float64
		spoil func(*rand.Rand, *register.System)
	}{
		{"charge wrong", s.mix.ChargeWrong, s.chargeWrong},
		{"charge missing", s.mix.ChargeMissing, s.chargeMissing},
		{"expansion wrong", s.mix.ExpansionWrong, s.expansionWrong},
		{"receiver wrong", s.mix.ReceiverWrong, s.receiverWrong},
		{"fields missing", s.mix.FieldsMissing, s.fieldsMissing},
		{"refrigerant", max(s.mix.Refrigerant, s.fleet.options.Mix.Mistakes["D1"]), s.refrigerantWrong},
		{"refrigerant name", s.mix.RefrigerantName, s.refrigerantUnknown},
	} {
		for i, hit := range s.lots(k.name, k.share) {
			if hit {
				k.spoil(chance(s.fleet.options.Seed, k.name, i), &rows[i])
			}
		}
	}
	return rows
}

func (s *scribe) chargeWrong(r *rand.Rand, row *register.System) {
	off := 1 + draw(r, s.mix.ChargeError)*float64(1-2*r.IntN(2))
	wrong := math.Round(row.Charge.KG*off*100) / 100
	s.slip("systems", row.ID, "design_charge_kg", row.Charge.KG, wrong)
	row.Charge = register.Charge{KG: wrong, Source: register.ChargeEstimated}
}

func (s *scribe) chargeMissing(_ *rand.Rand, row *register.System) {
	s.slip("systems", row.ID, "design_charge_kg", row.Charge.KG, "")
	row.Charge = register.Charge{KG: math.NaN()}
}

func (s *scribe) expansionWrong(_ *rand.Rand, row *register.System) {
	wrong := register.Thermostatic
	if row.Expansion == register.Thermostatic {
		wrong = register.Electronic
	}
	s.slip("systems", row.ID, "expansion", expansionWord(row.Expansion), expansionWord(wrong))
	row.Expansion = wrong
}

func (s *scribe) receiverWrong(_ *rand.Rand, row *register.System) {
	is, wrong := "none", "high side"
	row.Receiver = register.NoReceiver + register.HighSideReceiver - row.Receiver
	if row.Receiver == register.NoReceiver {
		is, wrong = wrong, is
	}
	s.slip("systems", row.ID, "receiver", is, wrong)
}

func (s *scribe) fieldsMissing(r *rand.Rand, row *register.System) {
	if r.Float64() < 0.5 {
		s.slip("systems", row.ID, "expansion", expansionWord(row.Expansion), "")
		row.Expansion, row.Receiver = register.ExpansionUnknown, register.ReceiverUnknown
		return
	}
	s.slip("systems", row.ID, "altitude_m", row.Altitude, "")
	row.DesignSubcooling, row.DesignSuperheat, row.Altitude = math.NaN(), math.NaN(), math.NaN()
	row.HeadPressureControl, row.HeadPressureFloor = table.Unknown, math.NaN()
}

func (s *scribe) refrigerantWrong(_ *rand.Rand, row *register.System) {
	wrong := lookAlike[row.RefrigerantName]
	s.slip("systems", row.ID, "refrigerant", row.RefrigerantName, wrong)
	row.RefrigerantName = wrong
}

func (s *scribe) refrigerantUnknown(_ *rand.Rand, row *register.System) {
	s.slip("systems", row.ID, "refrigerant", row.RefrigerantName, unheardOf)
	row.RefrigerantName = unheardOf
}

// events writes events.csv in time order.
func (s *scribe) events() []register.Event {
	var rows []register.Event
	for i, e := range s.fleet.events {
		if e, kept := s.event(chance(s.fleet.options.Seed, "event", i), e); kept {
			rows = append(rows, e)
		}
	}
	return s.papers(rows)
}

// event writes one event, or forgets it.
func (s *scribe) event(r *rand.Rand, e register.Event) (register.Event, bool) {
	forget, amount, unit, date, other := r.Float64(), r.Float64(), r.Float64(), r.Float64(), r.Float64()
	if e.Kind != register.ChargeAdded {
		return e, true
	}
	if forget < s.mix.EventMissing {
		s.slip("events", e.System, "row", fmt.Sprintf("%s charge added %g kg", e.Time.Format(time.DateTime), e.KG), "")
		return e, false
	}
	if amount < s.mix.EventKG {
		wrong := math.Round(e.KG*draw(r, s.mix.KGError)*1000) / 1000
		s.slip("events", e.System, "kg", e.KG, wrong)
		e.KG = wrong
	}
	if unit < s.mix.EventUnit {
		wrong := math.Round(e.KG*pick(r, []float64{poundsPerKG, 1000})*1000) / 1000
		s.slip("events", e.System, "unit", e.KG, wrong)
		e.KG = wrong
	}
	if date < s.mix.EventDate {
		most := int(s.mix.DateError)
		wrong := e.Time.AddDate(0, 0, r.IntN(2*most+1)-most)
		s.slip("events", e.System, "date", e.Time.Format(time.DateOnly), wrong.Format(time.DateOnly))
		e.Time, e.HasTime = time.Date(wrong.Year(), wrong.Month(), wrong.Day(), 0, 0, 0, 0, wrong.Location()), false
	}
	if other < s.mix.EventSystem {
		wrong := pick(r, s.fleet.machines).truth.ID
		s.slip("events", e.System, "system", e.System, wrong)
		e.System = wrong
	}
	return e, true
}
