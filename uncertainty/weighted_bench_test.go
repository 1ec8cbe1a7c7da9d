package uncertainty

import "testing"

// The overall of seven exercises with its interval: the task that a million draws
// of gamma variates do in numpy (tools/bench).
func BenchmarkOverallOfSevenExercises(b *testing.B) {
	x := []float64{9000, 9100, 8950, 9050, 9020, 8990, 9010}
	y := []float64{75, 95, 60, 150, 112, 225, 82}
	q := Quotient{Inflation: 1}
	share, mean := 0.0, 0.0
	for i := range x {
		q.Inside = append(q.Inside, WeightedCount{y[i], 1 / x[i] / 7})
		share += y[i] * y[i] / (x[i] * x[i] * x[i])
		mean += y[i] / x[i]
	}
	q.AmbientCounts = mean * mean / share
	for b.Loop() {
		q.MidP(0.95)
	}
}
