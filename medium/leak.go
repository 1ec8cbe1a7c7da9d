package medium

import (
	"math"

	"telltale/quantity"
)

// Leak is a gap beside the filter: flow = Coefficient dP^Exponent, in L/min and Pa.
// An exponent of 0.5 is a short orifice, 1 a long narrow slit with laminar flow.
type Leak struct {
	Coefficient float64 // L/min per Pa^Exponent
	Exponent    float64 // 0.5 to 1
}

// Resistance is a filter's pressure drop over flow, Pa per L/min; filters are linear
// over 5-85 L/min (Pushpawela et al. 2023, abstract, read).
type Resistance float64

// Shared is how a flow divides between filter and leak.
type Shared struct {
	Pressure quantity.Pressure
	Leak     float64 // share of the flow that goes through the leak, 0 to 1
}

// Share divides a total flow in L/min between a filter and a leak: dP/R + a dP^n = Q,
// solved by bisection. The flow is 0.1 to 600 L/min, the exponent 0.5 to 1.
func (r Resistance) Share(l Leak, flow float64) (Shared, error) {
	if err := r.check(l.Exponent, flow); err != nil {
		return Shared{}, err
	}
	if err := inRange("E733", "leak coefficient", l.Coefficient, 0, 1000, "L/min per Pa^n"); err != nil {
		return Shared{}, err
	}
	through := func(dp float64) float64 { return l.Coefficient * math.Pow(dp, l.Exponent) }
	lo, hi := 0.0, float64(r)*flow // all through the filter at most
	for range 200 {
		mid := (lo + hi) / 2
		if mid/float64(r)+through(mid) > flow {
			hi = mid
		} else {
			lo = mid
		}
	}
	dp := (lo + hi) / 2
	return Shared{quantity.Pressure(dp), through(dp) / flow}, nil
}

func (r Resistance) check(exponent, flow float64) error {
	if err := inRange("E733", "filter resistance", float64(r), 1e-3, 100, "Pa per L/min"); err != nil {
		return err
	}
	if err := inRange("E733", "leak exponent", exponent, 0.5, 1, ""); err != nil {
		return err
	}
	return inRange("E724", "flow", flow, 0.1, 600, "L/min")
}

// LeakOf is the leak of an exponent that takes a share (0 to below 1) of a flow in
// L/min beside the filter.
func (r Resistance) LeakOf(share, exponent, flow float64) (Leak, error) {
	if err := r.check(exponent, flow); err != nil {
		return Leak{}, err
	}
	if err := inRange("E733", "leak share", share, 0, 0.999, ""); err != nil {
		return Leak{}, err
	}
	dp := float64(r) * flow * (1 - share)
	return Leak{share * flow / math.Pow(dp, exponent), exponent}, nil
}

// OrificeFlow is the flow in L/min through a sharp hole of an area in mm2 at a
// pressure difference: 0.6 A sqrt(2 dP / rho), air of 1.205 kg/m3 (textbook orifice,
// from memory). One square millimetre costs about 0.8 % of 30 L/min at 30 Pa.
func OrificeFlow(squareMillimetres float64, p quantity.Pressure) float64 {
	return 0.6 * squareMillimetres * 1e-6 * math.Sqrt(2*float64(p)/1.205) * 6e4
}

// Inward is the share of outside particles that get in: filter (1 - leak) + through
// leak, where through is the share that passes the gap itself (1 for 0.05-0.5 um).
// The fit factor is one over it.
func Inward(filter, leak, through float64) float64 {
	return filter*(1-leak) + through*leak
}

// LeakShare turns Inward round: the leak's share of the flow that explains a fit
// factor beside a filter penetration. When the filter alone lets in as much or more,
// nothing of a leak can be seen: the share is 0 and resolvable is false.
func LeakShare(fitFactor, filter, through float64) (share float64, resolvable bool) {
	share = (1/fitFactor - filter) / (through - filter)
	if !(share > 0) || share > 1 {
		return 0, false
	}
	return share, true
}
