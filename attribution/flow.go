package attribution

import "math"

// The exponent m of the filter's response to flow: -ln P goes as velocity^-m.
// Single fibre theory gives 2/3 for diffusion and 1/3 to 1 for polarisation,
// electret media fitted to it 0.31 to 0.56, cyclic measurements on a face less:
// 0.2 to 0.5 with 0.35 in the middle is the band worked with (own rule).
const (
	leastExponent  = 0.2
	mostExponent   = 0.5
	middleExponent = (leastExponent + mostExponent) / 2
)

// throughAt is the penetration at a flow that is ratio times the one that f
// belongs to.
func throughAt(f, ratio, exponent float64) float64 {
	if ratio == 1 {
		return f
	}
	return math.Exp(math.Log(f) * math.Pow(ratio, -exponent))
}

// leakExponent is by how much ln L changes with the log of the flow: a leak takes
// flow^(n-1) of the share, n from 1/2 for an orifice to 1 for a long slit (own
// rule: the middle).
const leakExponent = -0.25

// block is what is believed of the filter beside its penetration: the flow
// exponent, and how much steeper its log penetration is for the coarser size
// channel (ln P of the coarse = steepness * ln P).
type block struct {
	exponent, steepness float64
	weight              float64
}

// Charged media let the coarser particles through far less (steepness above 1);
// an uncharged or discharged one may let them through more. A leak passes both
// nearly alike. The weights are an own rule.
var steep = []struct{ value, weight float64 }{{0.8, 0.1}, {1, 0.1}, {1.2, 0.2}, {1.5, 0.25}, {2, 0.2}, {3, 0.15}}

// blocks lists the beliefs that the ladder's counts can tell apart; one block
// where no flow and no coarse channel was given.
func (m *model) blocks() []block {
	flow, coarse := false, false
	for _, r := range m.rungs {
		for _, w := range r.wearings {
			for _, u := range w.units {
				flow = flow || u.flow != 1
				coarse = coarse || u.coarse != nil
			}
		}
	}
	out := []block{{middleExponent, 1, 1}}
	if flow { // Gauss's three points on the band
		half := (mostExponent - leastExponent) / 2 * math.Sqrt(0.6)
		out = []block{{middleExponent - half, 1, 5. / 18}, {middleExponent, 1, 8. / 18}, {middleExponent + half, 1, 5. / 18}}
	}
	if coarse {
		var all []block
		for _, b := range out {
			for _, s := range steep {
				all = append(all, block{b.exponent, s.value, b.weight * s.weight})
			}
		}
		out = all
	}
	return out
}
