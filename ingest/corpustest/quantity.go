package corpustest

import "math/big"

// A label is a unit as an invented logger prints it: canonical = (value - zero) * factor.
//
// Sources of the factors: SI Brochure, 9th ed. (BIPM 2019), tables 4 and 8, for bar,
// litre and degree Celsius; NIST SP 811 (2008), appendix B.8, for psi (from the exact
// pound 0.45359237 kg, inch 0.0254 m and standard gravity 9.80665 m/s2),
// kilogram-force per square centimetre and degree Fahrenheit.
type label struct {
	plain, gauge, absolute string
	factor, zero           string // exact, as fractions
}

var labels = map[string]label{
	"bar":    {"bar", "bar(g)", "bar(a)", "100", "0"},
	"kPa":    {"kPa", "kPa(g)", "kPa abs", "1", "0"},
	"psi":    {"psi", "psig", "psia", "8896443230521/1290320000000", "0"},
	"MPa":    {"MPa", "MPa(g)", "MPa(a)", "1000", "0"},
	"kg/cm2": {"kg/cm2", "kg/cm2 g", "kg/cm2 abs", "980665/10000", "0"},
	"°C":     {"°C", "", "", "1", "0"},
	"°F":     {"°F", "", "", "5/9", "32"},
	"K":      {"K", "", "", "1", "27315/100"},
	"W":      {"W", "", "", "1/1000", "0"},
	"kW":     {"kW", "", "", "1", "0"},
	"kWh":    {"kWh", "", "", "1", "0"},
	"A":      {"A", "", "", "1", "0"},
	"%":      {"%", "", "", "1", "0"},
}

// An altitude has the pressure of the standard atmosphere. Source: ISO 2533:1975,
// table 1, geopotential altitude.
type altitude struct {
	metres float64
	kPa    string
}

var altitudes = []altitude{{0, "101.325"}, {500, "95.461"}, {1000, "89.875"}}

func rat(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("corpustest: not a number: " + s)
	}
	return r
}

// canonical converts a decimal number of the logger exactly.
func (l label) canonical(mantissa int64, decimals int) *big.Rat {
	v := new(big.Rat).SetFrac(big.NewInt(mantissa), pow10(decimals))
	v.Sub(v, rat(l.zero))
	return v.Mul(v, rat(l.factor))
}

func pow10(n int) *big.Int { return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil) }

// thousandths rounds half to even: the step of the columns used here.
func thousandths(v *big.Rat) int64 {
	scaled := new(big.Rat).Mul(v, big.NewRat(1000, 1))
	two := new(big.Int).Mul(scaled.Num(), big.NewInt(2))
	two.Add(two, scaled.Denom())
	double := new(big.Int).Mul(scaled.Denom(), big.NewInt(2))
	q, m := new(big.Int).DivMod(two, double, new(big.Int)) // floor(x + 1/2)
	if m.Sign() == 0 && q.Bit(0) == 1 {
		q.Sub(q, big.NewInt(1))
	}
	return q.Int64()
}

// A quantity is a channel of samples with what a plant shows of it.
type quantity struct {
	channel  string // of the register
	column   string // of samples
	kind     string // pressure, temperature, power, energy, current, share
	level    float64
	swing    float64
	bits     int // decimals, 0 to 2, in the unit that prints most
	names    [8]string
	counting bool
}

var languages = []string{"en", "de", "fr", "es", "it", "nl", "pt", "sv"}

var quantities = []quantity{
	{channel: "suction_pressure", column: "suction_pressure_kpa", kind: "pressure", level: 360, swing: 30, bits: 2,
		names: [8]string{"Suction pressure", "Saugdruck", "Pression d'aspiration", "Presión de aspiración", "Pressione di aspirazione", "Zuigdruk", "Pressão de sucção", "Sugtryck"}},
	{channel: "discharge_pressure", column: "discharge_pressure_kpa", kind: "pressure", level: 1450, swing: 90, bits: 2,
		names: [8]string{"Discharge pressure", "Hochdruck", "Haute pression", "Presión de descarga", "Pressione di mandata", "Persdruk", "Pressão de descarga", "Högtryck"}},
	{channel: "suction_temp", column: "suction_temp_c", kind: "temperature", level: 3.2, swing: 6, bits: 1,
		names: [8]string{"Suction temperature", "Sauggastemperatur", "Température d'aspiration", "Temperatura de aspiración", "Temperatura di aspirazione", "Zuiggastemperatuur", "Temperatura de sucção", "Suggastemperatur"}},
	{channel: "discharge_temp", column: "discharge_temp_c", kind: "temperature", level: 74, swing: 8, bits: 1,
		names: [8]string{"Discharge temp", "Heißgastemperatur", "Température de refoulement", "Temperatura de descarga", "Temperatura di mandata", "Persgastemperatuur", "Temperatura de descarga", "Hetgastemperatur"}},
	{channel: "liquid_temp", column: "liquid_temp_c", kind: "temperature", level: 31, swing: 4, bits: 1,
		names: [8]string{"Liquid temp", "Flüssigkeitstemperatur", "Température liquide", "Temperatura de líquido", "Temperatura liquido", "Vloeistoftemperatuur", "Temperatura do líquido", "Vätsketemperatur"}},
	{channel: "outdoor_temp", column: "outdoor_temp_c", kind: "temperature", level: 1, swing: 9, bits: 2,
		names: [8]string{"Outdoor temperature", "Außentemperatur", "Température extérieure", "Temperatura exterior", "Temperatura esterna", "Buitentemperatuur", "Temperatura exterior", "Utetemperatur"}},
	{channel: "power", column: "power_kw", kind: "power", level: 1.9, swing: 1.7, bits: 0,
		names: [8]string{"Power", "Leistung", "Puissance", "Potencia", "Potenza", "Vermogen", "Potência", "Effekt"}},
	{channel: "energy", column: "energy_kwh", kind: "energy", level: 12400, swing: 3, bits: 1, counting: true,
		names: [8]string{"Energy", "Energie", "Énergie", "Energía", "Energia", "Energie", "Energia", "Energi"}},
	{channel: "current", column: "current_a", kind: "current", level: 8, swing: 3, bits: 2,
		names: [8]string{"Current", "Strom", "Courant", "Corriente", "Corrente", "Stroom", "Corrente", "Ström"}},
	{channel: "outdoor_humidity", column: "outdoor_humidity_pct", kind: "share", level: 62, swing: 20, bits: 1,
		names: [8]string{"Outdoor humidity", "Luftfeuchte außen", "Humidité extérieure", "Humedad exterior", "Umidità esterna", "Luchtvochtigheid buiten", "Umidade externa", "Luftfuktighet ute"}},
}

// words for the header of the time column, the date and the time of day alone.
var timeNames = [8][3]string{
	{"Date Time", "Date", "Time"}, {"Datum Zeit", "Datum", "Zeit"}, {"Date Heure", "Date", "Heure"}, {"Fecha Hora", "Fecha", "Hora"},
	{"Data Ora", "Data", "Ora"}, {"Datum Tijd", "Datum", "Tijd"}, {"Data Hora", "Data", "Hora"}, {"Datum Tid", "Datum", "Tid"},
}

// partNames head the columns of a date and time in parts.
var partNames = [8][6]string{
	{"Year", "Month", "Day", "Hour", "Minute", "Second"}, {"Jahr", "Monat", "Tag", "Stunde", "Minute", "Sekunde"},
	{"Année", "Mois", "Jour", "Heure", "Minute", "Seconde"}, {"Año", "Mes", "Día", "Hora", "Minuto", "Segundo"},
	{"Anno", "Mese", "Giorno", "Ora", "Minuto", "Secondo"}, {"Jaar", "Maand", "Dag", "Uur", "Minuut", "Seconde"},
	{"Ano", "Mês", "Dia", "Hora", "Minuto", "Segundo"}, {"År", "Månad", "Dag", "Timme", "Minut", "Sekund"},
}

// gaugeWords and absoluteWords stand in the name of a pressure.
var (
	gaugeWords    = [8]string{"gauge", "relativ", "relative", "manométrica", "relativa", "overdruk", "manométrica", "övertryck"}
	absoluteWords = [8]string{"absolute", "absolut", "absolue", "absoluta", "assoluta", "absoluut", "absoluta", "absolut"}
)

// monthNames are the short forms loggers print.
var monthNames = [8][12]string{
	{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"},
	{"Jan", "Feb", "Mrz", "Apr", "Mai", "Jun", "Jul", "Aug", "Sep", "Okt", "Nov", "Dez"},
	{"janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.", "nov.", "déc."},
	{"ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"},
	{"gen", "feb", "mar", "apr", "mag", "giu", "lug", "ago", "set", "ott", "nov", "dic"},
	{"jan", "feb", "mrt", "apr", "mei", "jun", "jul", "aug", "sep", "okt", "nov", "dec"},
	{"jan", "fev", "mar", "abr", "mai", "jun", "jul", "ago", "set", "out", "nov", "dez"},
	{"jan", "feb", "mar", "apr", "maj", "jun", "jul", "aug", "sep", "okt", "nov", "dec"},
}
