package cycle

import (
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/thermo"
)

// How far saturation temperatures may be off by a blend's composition once all of its
// charge has leaked away as vapour, bit by bit, and been topped up, as a share of its
// glide; what a top-up counts of the charge where its kilograms or the charge are not
// known; and which addition is a new charge. An engineering choice, no source: vapour that
// leaks takes the volatile component along, and what goes in has the first composition.
const (
	shiftOfGlide  = 0.25
	unknownTopUp  = 0.15
	newCharge     = 0.9
	glideMeasured = 10.0 // °C, bubble temperature
)

// BlendDoubt is the standard uncertainty of saturation temperatures at a time from the
// composition of a blend, K: it grows with the refrigerant that was booked as topped up
// since the machine was charged. Zero for a pure refrigerant.
func (c *Circuit) BlendDoubt(events []register.Event, at time.Time) float64 {
	glide := c.glide()
	if glide <= 0 {
		return 0
	}
	return shiftOfGlide * glide * math.Min(1, c.toppedUp(events, at))
}

// glide is the distance from bubble to dew temperature, K; 0 where nothing is known.
func (c *Circuit) glide() float64 {
	if c.Refrigerant == nil || c.Refrigerant.Pure() {
		return 0
	}
	p, err := c.properties.BubbleP(thermo.FromCelsius(glideMeasured))
	if err != nil {
		return 0
	}
	dew := c.Dew(float64(p) / 1000)
	if math.IsNaN(dew) {
		return 0
	}
	return dew - glideMeasured
}

// toppedUp is the share of the charge that was added since the last new charge, up to a
// time.
func (c *Circuit) toppedUp(events []register.Event, at time.Time) (share float64) {
	for _, e := range events { // in time order
		if e.Time.After(at) {
			break
		}
		switch e.Kind {
		case register.Install, register.Retrofit:
			share = 0
		case register.ChargeAdded:
			part := e.KG / c.System.Charge.KG
			if math.IsNaN(part) || part <= 0 {
				part = unknownTopUp
			}
			if share += part; part >= newCharge {
				share = 0
			}
		}
	}
	return share
}
