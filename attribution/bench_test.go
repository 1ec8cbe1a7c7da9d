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

// The suggestion alone, after the posterior is there.
func BenchmarkNext(b *testing.B) {
	l := asLadder(readCounts(b, "ladder_exercises.csv"))
	s := solved(l)
	for b.Loop() {
		s.next(&l, false)
	}
}
