package uncertainty

import "math"

// LongRun is replaced.
func LongRun(r []float64, b int) (varianceOfMean, dof float64) {
	n := float64(len(r))
	sum := 0.0
	for j := 1; j <= b; j++ {
		z := 0.0
		for t, v := range r {
			z += v * math.Cos(math.Pi*float64(j)*(float64(t)+0.5)/n)
		}
		sum += z * z * 2 / n
	}
	return sum / float64(b) / n, float64(b)
}
