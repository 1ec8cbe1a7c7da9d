package fitfactor

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkOverallOfEightExercises is the whole road from a trace of two counters
// to the overall fit factor with its interval and decision, seven exercises counted.
func BenchmarkOverallOfEightExercises(b *testing.B) {
	trace, truth := cell{counts: 1000, talking: true, counters: 2}.wearing(rand.New(rand.NewPCG(1, 7)))
	settings := Settings{Protocol: protocol("us-8"), Ambient: bench, Inside: bench, Limit: limit(truth)}
	for b.Loop() {
		if _, err := Of(trace, settings); err != nil {
			b.Fatal(err)
		}
	}
}
