package attribution

import "testing"

func benchmarkSolve(b *testing.B, l Ladder, o Options) {
	for b.Loop() {
		if _, err := Solve(l, o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTotals(b *testing.B) {
	benchmarkSolve(b, asLadder(readCounts(b, "ladder_data.csv")), Options{})
}

func BenchmarkExercises(b *testing.B) {
	benchmarkSolve(b, asLadder(readCounts(b, "ladder_exercises.csv")), Options{})
}

// The same counts with named exercises whose flows are not known.
func BenchmarkUnknownFlows(b *testing.B) { benchmarkSolve(b, unknownFlows(b), Options{}) }

// unknownFlows is the frozen ladder of exercises without its flows.
func unknownFlows(t testing.TB) Ladder {
	l := asLadder(readCounts(t, "ladder_exercises.csv"))
	for _, g := range l.Rungs {
		for _, w := range g.Wearings {
			for i := range w.Exercises {
				w.Exercises[i].Name, w.Exercises[i].FlowFactor = usualEight[i], 0
			}
		}
	}
	return l
}

// usualEight are the counted exercises of the usual eight.
var usualEight = []string{"normal breathing", "deep breathing", "head side to side", "head up and down", "talking", "bending over", "normal breathing"}

// The suggestion alone, after the posterior is there.
func BenchmarkNext(b *testing.B) {
	l := asLadder(readCounts(b, "ladder_exercises.csv"))
	s := solved(l)
	for b.Loop() {
		s.next(&l, false)
	}
}
