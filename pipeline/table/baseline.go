package table

import "time"

// A Prior is what the systems of one kind teach each other about a feature: made from
// visits before a quarter, and rounded to a tenth of its own standard error, so that
// within a quarter a new visit moves no other system.
type Prior struct {
	Quarter string `col:"quarter" doc:"calendar quarter for which it holds, such as 2025Q2"`
	Scope   string `col:"scope" doc:"the systems it is made of: kind, refrigerant and expansion device, or as many of them as enough systems share"`
	Feature string `col:"feature" doc:"the feature, by its column in visits"`
	Systems int64  `col:"systems" doc:"systems it is made of"`

	Level        float64 `col:"level_k" unit:"K" doc:"median level at 15 °C outdoors" method:"median of the systems' levels"`
	LevelSE      float64 `col:"level_se_k" unit:"K" doc:"standard error of the level"`
	Spread       float64 `col:"spread_k" unit:"K" doc:"spread of the systems' levels" method:"median absolute deviation, as a standard deviation"`
	PerOutdoor   float64 `col:"per_outdoor_k" unit:"K/K" doc:"how the feature moves with outdoor temperature" method:"median of the systems' slopes"`
	PerOutdoorSE float64 `col:"per_outdoor_se_k" unit:"K/K" doc:"standard error of the slope"`
	Scatter      float64 `col:"scatter_k" unit:"K" doc:"scatter of one system's visits about its own line" method:"median over the systems"`
}

// Priors holds what systems of one kind teach each other.
func Priors() Table {
	return of[Prior]("priors", ByFleet, "what systems of one kind teach each other about a feature, by quarter")
}

// A Baseline is what a feature of a system should be, from its own visits and from
// systems like it.
type Baseline struct {
	System  string    `col:"system" doc:"the system"`
	Feature string    `col:"feature" doc:"the feature, by its column in visits"`
	Since   time.Time `col:"since" doc:"first visit used: the first after what made an older baseline void"`
	Until   time.Time `col:"until" doc:"last visit used: before a suspected change began"`
	Visits  int64     `col:"visits" doc:"visits used, of which neighbours within a week count once"`
	Healthy bool      `col:"healthy" doc:"the visits are taken for those of a machine that is well"`
	Note    string    `col:"note" doc:"why they are not, or what limits the baseline"`

	Level      float64 `col:"level_k" unit:"K" doc:"level at the reference outdoor temperature" u:"level_u_k" method:"weighted mean of its own visits and of the prior"`
	LevelU     float64 `col:"level_u_k" unit:"K" doc:"standard uncertainty of the level"`
	PerOutdoor float64 `col:"per_outdoor_k" unit:"K/K" doc:"slope with outdoor temperature" u:"per_outdoor_u_k"`
	PerOutU    float64 `col:"per_outdoor_u_k" unit:"K/K" doc:"standard uncertainty of the slope"`
	OutdoorRef float64 `col:"outdoor_ref_c" unit:"°C" doc:"reference outdoor temperature: the mean of the visits used"`
	OutdoorLo  float64 `col:"outdoor_lo_c" unit:"°C" doc:"coldest visit used; colder, the baseline says nothing"`
	OutdoorHi  float64 `col:"outdoor_hi_c" unit:"°C" doc:"warmest visit used; warmer, the baseline says nothing"`
	RoomLo     float64 `col:"room_lo_c" unit:"°C" doc:"lowest temperature entering the evaporator of the visits used"`
	RoomHi     float64 `col:"room_hi_c" unit:"°C" doc:"highest of them"`
	Scatter    float64 `col:"scatter_k" unit:"K" doc:"scatter of visits about it"`
	OwnWeight  float64 `col:"own_weight" unit:"1" doc:"weight of the system's own visits in the level; the rest is the prior's" method:"partial pooling: variances between systems and of the mean of its visits" source:"Gelman & Hill (2007), chapter 12"`
	Prior      string  `col:"prior" doc:"quarter and scope of the prior; empty where there was none but the trade's wide beliefs"`
}

// Baselines holds what each feature of each system should be.
func Baselines() Table {
	return of[Baseline]("baselines", ByFleet, "what each feature of each system should be, from its own visits and from systems like it")
}
