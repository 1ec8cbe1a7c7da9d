package uncertainty

import "testing"

func BenchmarkRatioExact(b *testing.B) {
	for b.Loop() {
		RatioExact(Counted{12345, 60}, Counted{87, 60}, 0.95)
	}
}

func BenchmarkRatioExactOfMillions(b *testing.B) {
	for b.Loop() {
		RatioExact(Counted{3e7, 60}, Counted{2.5e5, 60}, 0.95)
	}
}

func BenchmarkLongRunOf600(b *testing.B) {
	v := autoregressive(newRand(1), 600, 0.8)
	for b.Loop() {
		LongRunPrewhitened(v, 0)
	}
}

func BenchmarkRanksOfFive(b *testing.B) {
	of := []Candidate{{1, .2, 4}, {1.1, .2, 4}, {1.3, .2, 4}, {.9, .2, 4}, {.5, .2, 4}}
	for b.Loop() {
		Ranks(of, 0.95)
	}
}

func BenchmarkToleranceFactor(b *testing.B) {
	for b.Loop() {
		ToleranceFactor(5, 0.95, 0.95)
	}
}

func BenchmarkPartialPool(b *testing.B) {
	y, s := []float64{28, 8, -3, 7, -1, 1, 18, 12}, []float64{15, 10, 16, 11, 9, 11, 10, 18}
	for b.Loop() {
		PartialPool(y, s, 0.95)
	}
}

func BenchmarkSumOfFour(b *testing.B) {
	for b.Loop() {
		fourTerms().Interval(0.95)
	}
}

func BenchmarkSumOfTwoBoxes(b *testing.B) {
	for b.Loop() {
		Sum(Rectangular(1), Rectangular(2)).Interval(0.95)
	}
}
