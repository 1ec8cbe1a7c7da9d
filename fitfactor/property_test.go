package fitfactor

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"telltale/record"
	"telltale/uncertainty"
)

// drawn makes a two-column or switched trace of random readings, some of them zero
// or missing.
func drawn(t *rapid.T) *record.Trace {
	n := rapid.IntRange(20, 80).Draw(t, "rows")
	both := rapid.Bool().Draw(t, "two counters")
	tr := &record.Trace{Name: "drawn", Switched: !both}
	scale := math.Pow(10, rapid.Float64Range(0, 5).Draw(t, "room"))
	for i := range n {
		air := record.Both
		if !both {
			air = record.Inside
			if i%20 < 6 {
				air = record.Ambient
			}
		}
		a, in := math.NaN(), math.NaN()
		if air != record.Inside {
			a = scale * rapid.Float64Range(0.5, 1.5).Draw(t, "ambient")
		}
		if air != record.Ambient {
			in = scale * rapid.SampledFrom([]float64{0, 0.0001, 0.01, 0.02, 0.3, 1.5, math.NaN()}).Draw(t, "inside")
		}
		tr.TimeS, tr.Sampling = append(tr.TimeS, float64(i)), append(tr.Sampling, air)
		tr.Ambient, tr.Inside = append(tr.Ambient, a), append(tr.Inside, in)
	}
	return tr
}

func mapped(t *record.Trace, f func(a, i float64) (float64, float64)) *record.Trace {
	out := *t
	out.Ambient, out.Inside = make([]float64, len(t.Ambient)), make([]float64, len(t.Inside))
	for i := range t.Ambient {
		out.Ambient[i], out.Inside[i] = f(t.Ambient[i], t.Inside[i])
	}
	return &out
}

func free(t *rapid.T, tr *record.Trace, c Counter) *Result {
	r, err := Of(tr, Settings{Protocol: protocol("free"), Ambient: c, Inside: c, Limit: limit(100)})
	if err != nil {
		t.Skip("no reading of one air: ", err)
	}
	return r
}

// sound: no estimate holds an infinity, a negative or an interval turned round.
func sound(t *rapid.T, what string, e uncertainty.Estimate) {
	for _, v := range []float64{e.Value, e.Low, e.High} {
		if math.IsInf(v, 0) || v < 0 {
			t.Fatalf("%s: %+v", what, e)
		}
	}
	if e.Kind == uncertainty.Interval && !(e.Low <= e.Value && e.Value <= e.High) {
		t.Fatalf("%s: the interval does not hold its value: %+v", what, e)
	}
	if e.Kind == uncertainty.AtLeast && !(e.Low > 0 && math.IsNaN(e.High)) {
		t.Fatalf("%s: %+v", what, e)
	}
}

func TestNoFigureIsInfiniteNegativeOrTurnedRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom([]Counter{{}, {Flow: 1.67}, {Flow: 16.67, DeadTime: 4e-7, Top: 50000}, {Flow: 0.01}}).Draw(t, "counter")
		r := free(t, drawn(t), c)
		sound(t, "overall", r.FitFactor)
		sound(t, "penetration", r.Penetration)
		sound(t, "guard", r.Guard)
		for _, x := range r.Exercises {
			sound(t, x.Name, x.FitFactor)
		}
	})
}

func TestScalingBothAirsLeavesTheFitFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr, by := drawn(t), rapid.Float64Range(0.1, 10).Draw(t, "by")
		if tr.Switched {
			t.Skip("what counts as settled depends on the counting noise")
		}
		one := free(t, tr, Counter{Flow: 1.67})
		two := free(t, mapped(tr, func(a, i float64) (float64, float64) { return a * by, i * by }), Counter{Flow: 1.67})
		if !same(one.FitFactor.Value, two.FitFactor.Value) {
			t.Fatalf("%v became %v", one.FitFactor, two.FitFactor)
		}
	})
}

func TestSwappingTheColumnsTurnsTheFitFactorRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr := mapped(drawn(t), func(a, i float64) (float64, float64) {
			return a, math.Max(i, 0.01*a)
		})
		if tr.Switched {
			t.Skip("one line")
		}
		for i := range tr.Inside {
			if math.IsNaN(tr.Inside[i]) {
				tr.Inside[i] = 0.05 * tr.Ambient[i]
			}
		}
		one := free(t, tr, Counter{Flow: 1.67})
		two := free(t, mapped(tr, func(a, i float64) (float64, float64) { return i, a }), Counter{Flow: 1.67})
		if !same(one.FitFactor.Value, 1/two.FitFactor.Value) {
			t.Fatalf("%v and %v", one.FitFactor, two.FitFactor)
		}
	})
}

func TestMoreInsideNeverRaisesTheFitFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tr, more := drawn(t), rapid.Float64Range(1, 3).Draw(t, "more")
		if tr.Switched {
			t.Skip("trimming may choose other rows")
		}
		one := free(t, tr, Counter{Flow: 1.67})
		two := free(t, mapped(tr, func(a, i float64) (float64, float64) { return a, i * more }), Counter{Flow: 1.67})
		if two.FitFactor.Value > one.FitFactor.Value*(1+1e-9) {
			t.Fatalf("%v rose to %v", one.FitFactor, two.FitFactor)
		}
	})
}

// P8: monotone in the figure; a wider interval never turns "cannot decide" into
// pass or fail; pass and fail do not overlap.
func TestTheDecisionIsMonotoneAndNeverBolderWithLessKnowledge(t *testing.T) {
	rank := map[Outcome]int{Fail: 0, CannotDecide: 1, ConditionalPass: 2, Pass: 3}
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.Float64Range(1, 1000).Draw(t, "value")
		half := rapid.Float64Range(1.001, 5).Draw(t, "half")
		wider := half * rapid.Float64Range(1, 3).Draw(t, "wider")
		up := value * rapid.Float64Range(1, 3).Draw(t, "up")
		at := func(v, h float64) Outcome {
			o, _, _ := judge(uncertainty.New(v, v/h, v*h, 0.95, ""), 100)
			return o
		}
		if rank[at(up, half)] < rank[at(value, half)] {
			t.Fatalf("%v at %v, %v at %v", at(value, half), value, at(up, half), up)
		}
		narrow, wide := at(value, half), at(value, wider)
		if (wide == Pass || wide == Fail) && wide != narrow {
			t.Fatalf("%v became %v with a wider interval", narrow, wide)
		}
	})
}

func same(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-9*math.Abs(a)
}
