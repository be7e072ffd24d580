package energy

// A Bin is what was seen in a range of outdoor temperature (or lift).
type Bin struct {
	From, To float64 // °C, K; to is not in it
	COP      float64
	SE       float64 // standard error of COP by scatter from day to day, instruments apart
	KW       float64 // mean power
	KWSE     float64
	Windows  int
	Days     int
	Hours    float64 // in windows
}
