package units

import "strings"

// A definition is a unit with the spellings loggers use for it, in the
// normal form of function fold, separated by blanks.
type definition struct {
	unit      Unit
	spellings string
}

// definitions holds every unit. Factors are exact.
//
// Sources: SI Brochure, 9th ed. (BIPM 2019), tables 4 and 8 and sec. 2.3 for bar,
// degree Celsius, litre, hour; NIST SP 811 (2008), appendix B.8 for the inch-pound
// units: pound 0.453 592 37 kg, inch 0.0254 m, foot 0.3048 m, gallon (US)
// 3.785 411 784 l, Btu (IT) 1055.055 852 62 J, standard gravity 9.806 65 m/s²;
// conventional mercury 13 595.1 kg/m³, conventional water 1000 kg/m³.
var definitions = []definition{
	{Unit{"°C", Temperature, 0, ratio{1, 1}, ratio{}}, "°c c degc deg.c degreec degreesc celsius degcelsius degreecelsius degreescelsius gradc gradcelsius °celsius cel"},
	{Unit{"°F", Temperature, 0, ratio{5, 9}, ratio{32, 1}}, "°f f degf deg.f degreef degreesf fahrenheit degfahrenheit degreesfahrenheit °fahrenheit"},
	{Unit{"K", Temperature, 0, ratio{1, 1}, ratio{27315, 100}}, "k kelvin degk °k"},

	{Unit{"kPa", Pressure, 0, ratio{1, 1}, ratio{}}, "kpa kilopascal"},
	{Unit{"Pa", Pressure, 0, ratio{1, 1000}, ratio{}}, "pa pascal"},
	{Unit{"hPa", Pressure, 0, ratio{1, 10}, ratio{}}, "hpa hectopascal"},
	{Unit{"MPa", Pressure, 0, ratio{1000, 1}, ratio{}}, "mpa megapascal"},
	{Unit{"bar", Pressure, 0, ratio{100, 1}, ratio{}}, "bar bars"},
	{Unit{"mbar", Pressure, 0, ratio{1, 10}, ratio{}}, "mbar millibar"},
	{Unit{"psi", Pressure, 0, ratio{8896443230521, 1290320000000}, ratio{}}, "psi lbf/in2 lb/in2 lbs/in2"},
	{Unit{"kg/cm²", Pressure, 0, ratio{980665, 10000}, ratio{}}, "kg/cm2 kgf/cm2 kp/cm2 kgcm2 kgfcm2 at"},
	{Unit{"inHg", Pressure, 0, ratio{135951 * 980665 * 254, 10_000_000_000_000}, ratio{}}, "inhg inchhg inhg0°c"},
	{Unit{"mmHg", Pressure, 0, ratio{135951 * 980665, 1_000_000_000_000}, ratio{}}, "mmhg"},
	{Unit{"torr", Pressure, 0, ratio{101325, 760000}, ratio{}}, "torr"},
	{Unit{"atm", Pressure, 0, ratio{101325, 1000}, ratio{}}, "atm"},
	{Unit{"mH₂O", Pressure, 0, ratio{980665, 100000}, ratio{}}, "mh2o mwc mws mce"},
	{Unit{"mmH₂O", Pressure, 0, ratio{980665, 100_000_000}, ratio{}}, "mmh2o mmwc mmws mmce"},
	{Unit{"inH₂O", Pressure, 0, ratio{980665 * 254, 1_000_000_000}, ratio{}}, "inh2o inwc inwg inchh2o"},
	{Unit{"ftH₂O", Pressure, 0, ratio{980665 * 3048, 1_000_000_000}, ratio{}}, "fth2o ftwc"},

	{Unit{"kW", Power, 0, ratio{1, 1}, ratio{}}, "kw kilowatt"},
	{Unit{"W", Power, 0, ratio{1, 1000}, ratio{}}, "w watt watts"},
	{Unit{"MW", Power, 0, ratio{1000, 1}, ratio{}}, "megawatt"},
	{Unit{"Btu/h", Power, 0, ratio{105505585262, 360_000_000_000_000}, ratio{}}, "btu/h btu/hr btuh"},
	{Unit{"kBtu/h", Power, 0, ratio{105505585262, 360_000_000_000}, ratio{}}, "mbh kbtu/h kbtu/hr"},
	{Unit{"tons", Power, 0, ratio{12000 * 105505585262, 360_000_000_000_000}, ratio{}}, "tons usrt tonref tonsref"},
	{Unit{"kcal/h", Power, 0, ratio{41868, 36_000_000}, ratio{}}, "kcal/h kcal/hr"},

	{Unit{"kWh", Energy, 0, ratio{1, 1}, ratio{}}, "kwh kw*h"},
	{Unit{"Wh", Energy, 0, ratio{1, 1000}, ratio{}}, "wh"},
	{Unit{"MWh", Energy, 0, ratio{1000, 1}, ratio{}}, "mwh"},
	{Unit{"kJ", Energy, 0, ratio{1, 3600}, ratio{}}, "kj"},
	{Unit{"MJ", Energy, 0, ratio{1000, 3600}, ratio{}}, "mj"},

	{Unit{"m³/h", VolumeFlow, 0, ratio{1, 1}, ratio{}}, "m3/h m3/hr m3h cbm/h cmh"},
	{Unit{"m³/s", VolumeFlow, 0, ratio{3600, 1}, ratio{}}, "m3/s"},
	{Unit{"m³/min", VolumeFlow, 0, ratio{60, 1}, ratio{}}, "m3/min"},
	{Unit{"l/min", VolumeFlow, 0, ratio{60, 1000}, ratio{}}, "l/min lpm lmin liter/min litre/min l/m"},
	{Unit{"l/s", VolumeFlow, 0, ratio{3600, 1000}, ratio{}}, "l/s lps l/sec liter/s litre/s"},
	{Unit{"l/h", VolumeFlow, 0, ratio{1, 1000}, ratio{}}, "l/h lph l/hr liter/h litre/h"},
	{Unit{"cfm", VolumeFlow, 0, ratio{28316846592 * 60, 1_000_000_000_000}, ratio{}}, "cfm ft3/min"},
	{Unit{"gpm", VolumeFlow, 0, ratio{3785411784 * 60, 1_000_000_000_000}, ratio{}}, "gpm gal/min usgpm gpm(us)"},

	{Unit{"kg/s", MassFlow, 0, ratio{1, 1}, ratio{}}, "kg/s kg/sec"},
	{Unit{"kg/h", MassFlow, 0, ratio{1, 3600}, ratio{}}, "kg/h kg/hr"},
	{Unit{"kg/min", MassFlow, 0, ratio{1, 60}, ratio{}}, "kg/min"},
	{Unit{"g/s", MassFlow, 0, ratio{1, 1000}, ratio{}}, "g/s"},
	{Unit{"lb/h", MassFlow, 0, ratio{45359237, 360_000_000_000}, ratio{}}, "lb/h lb/hr lbs/h lbs/hr"},
	{Unit{"lb/min", MassFlow, 0, ratio{45359237, 6_000_000_000}, ratio{}}, "lb/min lbs/min"},

	{Unit{"A", Current, 0, ratio{1, 1}, ratio{}}, "a amp amps ampere amperes"},
	{Unit{"mA", Current, 0, ratio{1, 1000}, ratio{}}, "ma milliamp"},
	{Unit{"V", Voltage, 0, ratio{1, 1}, ratio{}}, "v volt volts vac"},
	{Unit{"mV", Voltage, 0, ratio{1, 1000}, ratio{}}, "mv"},
	{Unit{"kV", Voltage, 0, ratio{1000, 1}, ratio{}}, "kv"},
	{Unit{"Hz", Frequency, 0, ratio{1, 1}, ratio{}}, "hz hertz rps 1/s"},
	{Unit{"rpm", Frequency, 0, ratio{1, 60}, ratio{}}, "rpm 1/min u/min r/min min-1 min^-1 omw/min tr/min"},
	{Unit{"%", Share, 0, ratio{1, 1}, ratio{}}, "% %rh rh% %rf %hr %ur %rv pct percent prozent pourcent %r.h"},
	{Unit{"s", Duration, 0, ratio{1, 1}, ratio{}}, "s sec secs second seconds sek sekunden"},
	{Unit{"ms", Duration, 0, ratio{1, 1000}, ratio{}}, "ms msec millisecond milliseconds"},
	{Unit{"min", Duration, 0, ratio{60, 1}, ratio{}}, "min mins minute minutes minuten"},
	{Unit{"h", Duration, 0, ratio{3600, 1}, ratio{}}, "h hr hrs hour hours std stunden"},
	{Unit{"kg", Mass, 0, ratio{1, 1}, ratio{}}, "kg"},
	{Unit{"g", Mass, 0, ratio{1, 1000}, ratio{}}, "gram grams"},
	{Unit{"lb", Mass, 0, ratio{45359237, 100000000}, ratio{}}, "lb lbs"},
}

// differences holds the units of a temperature difference: no zero to shift.
var differences = []definition{
	{Unit{"K", Difference, 0, ratio{1, 1}, ratio{}}, "k kelvin °c c degc °k degk"},
	{Unit{"°F", Difference, 0, ratio{5, 9}, ratio{}}, "°f f degf °r r"},
}

// bySpelling and differenceBySpelling find a unit by its folded label.
var (
	bySpelling           = index(definitions)
	differenceBySpelling = index(differences)
)

func index(defs []definition) map[string]Unit {
	m := map[string]Unit{}
	for _, d := range defs {
		for _, s := range strings.Fields(d.spellings) {
			m[s] = d.unit
		}
	}
	return m
}

// marks holds how labels mark a pressure's reference, in several languages, as
// they follow the unit in the folded label: bar(g), bar gauge, barü, bar ö, bar rel, bara, bar abs.
var marks = []struct {
	text      string
	reference Reference
}{
	{"absolute", Absolute}, {"absolut", Absolute}, {"absolu", Absolute}, {"assoluta", Absolute}, {"absoluta", Absolute},
	{"abs", Absolute}, {"a", Absolute},
	{"gauge", Gauge}, {"relative", Gauge}, {"relativ", Gauge}, {"relatif", Gauge}, {"relativa", Gauge}, {"rel", Gauge},
	{"eff", Gauge}, {"man", Gauge}, {"ü", Gauge}, {"ue", Gauge}, {"ö", Gauge}, {"o", Gauge}, {"g", Gauge}, {"r", Gauge},
}
