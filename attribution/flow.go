package attribution

import "math"

// The exponent m of the filter's response to flow: -ln P goes as flow^-m. Single
// fibre theory gives 2/3 for diffusion and 1/3 to 1 for polarisation, electret
// media fitted to it 0.31 to 0.56, cyclic measurements on a face less; 0.2 to
// 0.5 is the band worked with, 0.35 its middle (own rule).
const (
	leastExponent  = 0.2
	mostExponent   = 0.5
	middleExponent = (leastExponent + mostExponent) / 2
)

// throughAt is the penetration, at a flow that is ratio times the one that f
// belongs to.
func throughAt(f, ratio float64) float64 {
	if ratio == 1 {
		return f
	}
	return math.Exp(math.Log(f) * math.Pow(ratio, -middleExponent))
}
