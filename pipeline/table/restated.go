package table

import "time"

// A Restated is a visit as slow change is judged by it where its doubt about the register's
// refrigerant hides in table visits what follows from pressures. It is no table: the file of a
// system's trends has it as a note, which goes where the trends go.
type Restated struct {
	Start       time.Time `col:"start" doc:"first sample, UTC: with the part, the visit's key"`
	Part        string    `col:"part" doc:"as found, as left, or whole where nobody intervened"`
	Refrigerant string    `col:"refrigerant" doc:"by which it was worked out: the presumed one, or else the register's"`
	Use         string    `col:"use" doc:"trend: judged; spot: shown only; none: not used"`
	Reason      string    `col:"reason" doc:"why it is not used for trends; empty where it is"`

	Superheat          float64 `col:"superheat_k" unit:"K" doc:"mean superheat" u:"superheat_u_k"`
	SuperheatU         float64 `col:"superheat_u_k" unit:"K" doc:"standard uncertainty of superheat"`
	SuperheatHalf      float64 `col:"superheat_u95_k" unit:"K" doc:"half of its 95 % interval"`
	SuperheatRepeatU   float64 `col:"superheat_repeat_u_k" unit:"K" doc:"standard uncertainty between visits with the same instruments"`
	Subcooling         float64 `col:"subcooling_k" unit:"K" doc:"mean subcooling" u:"subcooling_u_k"`
	SubcoolingU        float64 `col:"subcooling_u_k" unit:"K" doc:"standard uncertainty of subcooling"`
	SubcoolingHalf     float64 `col:"subcooling_u95_k" unit:"K" doc:"half of its 95 % interval"`
	SubcoolingRepeatU  float64 `col:"subcooling_repeat_u_k" unit:"K" doc:"standard uncertainty between visits with the same instruments"`
	DischargeSuperheat float64 `col:"discharge_superheat_k" unit:"K" doc:"mean discharge superheat" u:"discharge_superheat_u_k"`
	DischargeU         float64 `col:"discharge_superheat_u_k" unit:"K" doc:"standard uncertainty of discharge superheat"`
	EvaporatorTD       float64 `col:"evaporator_td_k" unit:"K" doc:"mean medium entering the evaporator above evaporating temperature" u:"evaporator_td_u_k"`
	EvaporatorTDU      float64 `col:"evaporator_td_u_k" unit:"K" doc:"standard uncertainty of evaporator_td_k"`
	CondenserTD        float64 `col:"condenser_td_k" unit:"K" doc:"mean condensing temperature above the medium entering the condenser" u:"condenser_td_u_k"`
	CondenserTDU       float64 `col:"condenser_td_u_k" unit:"K" doc:"standard uncertainty of condenser_td_k"`
}

// NoteRestated is the name of that note: packed rows of [Restated] as base64 text.
const NoteRestated = "rimelog.restated"

// RestatedOf keeps of a visit what was worked out anew, by a refrigerant.
func RestatedOf(v Visit, refrigerant string) Restated {
	return Restated{
		Start: v.Start, Part: v.Part, Refrigerant: refrigerant, Use: v.Use, Reason: v.Reason,
		Superheat: v.Superheat, SuperheatU: v.SuperheatU, SuperheatHalf: v.SuperheatHalf, SuperheatRepeatU: v.SuperheatRepeatU,
		Subcooling: v.Subcooling, SubcoolingU: v.SubcoolingU, SubcoolingHalf: v.SubcoolingHalf, SubcoolingRepeatU: v.SubcoolingRepeatU,
		DischargeSuperheat: v.DischargeSuperheat, DischargeU: v.DischargeU,
		EvaporatorTD: v.EvaporatorTD, EvaporatorTDU: v.EvaporatorTDU, CondenserTD: v.CondenserTD, CondenserTDU: v.CondenserTDU,
	}
}

// Is tells whether it is a visit worked out anew.
func (r Restated) Is(v Visit) bool { return r.Start.Equal(v.Start) && r.Part == v.Part }

// Over is the visit as it was judged.
func (r Restated) Over(v Visit) Visit {
	v.Use, v.Reason = r.Use, r.Reason
	v.Superheat, v.SuperheatU, v.SuperheatHalf, v.SuperheatRepeatU = r.Superheat, r.SuperheatU, r.SuperheatHalf, r.SuperheatRepeatU
	v.Subcooling, v.SubcoolingU, v.SubcoolingHalf, v.SubcoolingRepeatU = r.Subcooling, r.SubcoolingU, r.SubcoolingHalf, r.SubcoolingRepeatU
	v.DischargeSuperheat, v.DischargeU = r.DischargeSuperheat, r.DischargeU
	v.EvaporatorTD, v.EvaporatorTDU, v.CondenserTD, v.CondenserTDU = r.EvaporatorTD, r.EvaporatorTDU, r.CondenserTD, r.CondenserTDU
	return v
}
