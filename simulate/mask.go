package simulate

import (
	"math"

	"telltale/quantity"
	"telltale/record"
)

// Mask is the truth about one respirator.
type Mask struct {
	Filter       float64       // penetration of the medium at RefFlow, 0-1, for a size of response 1
	RefFlow      quantity.Flow // flow through the whole respirator at which Filter holds; 0 = 85 L/min
	FlowExponent float64       // m in ln P ~ flow^-m; measured 0 to 0.6, electret media 0.2 to 0.5
	Area         quantity.Area // of the medium; 0 = 160 cm2
	Leak         Zones         // median leak, as share of the inhaled air, in quiet breathing
	DeadSpaceL   float64       // air between face and mask in litres; 0 = 0.1
}

// Zones is a figure for each part of the seal.
type Zones struct {
	Nose   float64 `json:"nose"`
	Cheeks float64 `json:"cheeks"`
	Chin   float64 `json:"chin"`
}

// Sum adds the zones.
func (z Zones) Sum() float64 { return z.Nose + z.Cheeks + z.Chin }

func (z Zones) times(f Zones) Zones {
	return Zones{z.Nose * f.Nose, z.Cheeks * f.Cheeks, z.Chin * f.Chin}
}

func (z Zones) scaled(f float64) Zones { return Zones{z.Nose * f, z.Cheeks * f, z.Chin * f} }

// Repair is a change to the seal and what it truly does to the leaks: multipliers
// by zone, below 1 for the better, above 1 for the worse.
type Repair struct {
	As   record.Repair
	Leak Zones
}

// The repairs of the practice scenarios. The multipliers are invented.
var (
	NoseStrip = Repair{record.Repair{Word: "nose_strip"}, Zones{0.45, 1, 1}}
	TapeNose  = Repair{record.Repair{Word: "tape", Zone: "nose"}, Zones{0.06, 1, 1}}
	TapeAll   = Repair{record.Repair{Word: "tape", Zone: "all"}, Zones{0.05, 0.05, 0.05}}
	Brace     = Repair{record.Repair{Word: "brace"}, Zones{0.6, 0.4, 0.4}}
	StrapClip = Repair{record.Repair{Word: "strap_clip"}, Zones{0.8, 0.45, 0.5}}
)

func (m Mask) refFlow() quantity.Flow {
	if m.RefFlow == 0 {
		return quantity.LitresPerMinute(85)
	}
	return m.RefFlow
}

func (m Mask) area() quantity.Area {
	if m.Area == 0 {
		return 160
	}
	return m.Area
}

func (m Mask) deadSpaceCM3() float64 {
	if m.DeadSpaceL == 0 {
		return 100
	}
	return m.DeadSpaceL * 1000
}

// Through is the penetration of the medium at a flow through the whole
// respirator: ln P(q) = response x ln P(ref) x (ref / q)^m, the power law of
// single-fibre efficiency under diffusion or polarisation (from memory); it is not
// meant for particles that impact. Response is that of a size, 1 for the whole.
func (m Mask) Through(flow quantity.Flow, response float64) float64 {
	switch {
	case m.Filter <= 0 || flow <= 0:
		return 0
	case m.Filter >= 1:
		return 1
	case m.FlowExponent == 0:
		return math.Pow(m.Filter, response)
	}
	power := math.Pow(float64(m.refFlow()/flow), m.FlowExponent)
	return math.Exp(response * math.Log(m.Filter) * power)
}
