package fitfactor

import "math"

// deadTimeReach is the share of the largest possible indicated rate (1/e per dead
// time) beyond which the correction is refused: there a small error of the
// reading or of the dead time moves the answer without bound. The published
// correction was tried up to 99 % of it with under 4 % average error; this
// program stops at 90 % (own rule).
const deadTimeReach = 0.9

// trueRate solves Na = Ni exp(Na tau) for the true rate Na, both per second, given
// the indicated rate Ni and the dead time tau in seconds: particles that arrive
// (Poisson) while another is in view are lost. Source: Aerosol Science and
// Technology 47 (2013) 177, coincidence correction by the Lambert W function
// (abstract read). ok is false near the limit 1/e.
func trueRate(indicated, tau float64) (rate float64, ok bool) {
	m := indicated * tau
	if m == 0 {
		return indicated, true
	}
	if m > deadTimeReach/math.E {
		return math.NaN(), false
	}
	x := m
	for range 100 { // Newton on x exp(-x) = m, from below, on its rising branch
		step := (x*math.Exp(-x) - m) / ((1 - x) * math.Exp(-x))
		x -= step
		if math.Abs(step) < 1e-15 {
			break
		}
	}
	return x / tau, true
}
