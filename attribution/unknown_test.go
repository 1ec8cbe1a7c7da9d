package attribution

import (
	"math"
	"math/rand/v2"
	"testing"
)

// breather is a person whose flows no one records.
type breather struct {
	name   string
	wide   float64 // of the drawn log flows, in the prior's sds
	habits bool    // one flow for each exercise, in all runs; else drawn anew each time
}

// breathe replaces the counts of a ladder of the usual eight by those of a filter
// and leaks under drawn flows, and gives the truth: filter and leaks as means over
// each run's exercises.
func (u truth) breathe(r *rand.Rand, b breather) (Ladder, truth) {
	l, out := u.ladder(r), u
	out.f, out.leak = 0, make([]float64, len(u.leak))
	m := exponentAt(r.Float64())
	draw := func() (flow []float64) {
		mean := 0.0
		for _, name := range usualEight {
			at, sd := usualFlow(name)
			mean += at / float64(len(usualEight))
			flow = append(flow, at*math.Exp(b.wide*sd*r.NormFloat64()))
		}
		for i := range flow {
			flow[i] /= mean
		}
		return flow
	}
	flow := draw()
	n := float64(len(u.leak) * u.wearings * len(usualEight))
	for c := range l.Rungs {
		for w := range l.Rungs[c].Wearings {
			if !b.habits {
				flow = draw()
			}
			luck := u.sd * u.luck(r)
			for i := range usualEight {
				e := &l.Rungs[c].Wearings[w].Exercises[i]
				q := throughAt(u.f, flow[i], m)
				leak := u.leak[c] * math.Pow(flow[i], leakExponent) * math.Exp(luck+u.se*u.luck(r))
				e.Name, e.FlowFactor = usualEight[i], 0
				for e.Inside = math.Inf(1); e.Inside > e.Ambient; {
					e.Inside = poisson(r, u.ambient*min(q+leak, 0.9))
				}
				out.f += q / n
			}
			for i := range flow { // the run's mean leak at the wearing's median luck
				out.leak[c] += u.leak[c] * math.Pow(flow[i], leakExponent) * math.Exp(u.se*u.se/2) / float64(len(flow)*u.wearings)
			}
		}
	}
	return l, out
}

// breathers are those of the test: as believed, and twice as far from it.
var breathers = []breather{{"habits", 1, true}, {"habits, twice as wide", 2, true}, {"anew each time", 1, false}, {"anew, twice as wide", 2, false}}

// A filter with a flow effect, and flows that nobody recorded: of what is said at
// most 2.5 % may be wrong, also when the flows lie twice as far from what is
// believed of them, in every run alike or anew in each.
func TestUnknownFlowsAreNotTakenForLeaks(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 7))
	n := max(*rounds, 1)
	var all score
	for _, b := range breathers {
		var of score
		for _, s := range scenarios()[:len(scenarios())/2] {
			if s.change != nil || s.beyond || s.exercises != len(usualEight) || s.order != nil {
				continue
			}
			if *rounds == 0 && len(s.name)%3 != 0 { // a third of them in an ordinary test
				continue
			}
			var one score
			for range n {
				l, is := s.breathe(r, b)
				res, err := Solve(l, Options{})
				if err != nil {
					t.Fatal(err)
				}
				one.add(&res, is)
			}
			t.Logf("%-24s %-34s paths said %3d wrong %2d undecided %3d | intervals %3d missed %2d | at most %3d exceeded %2d",
				b.name, s.name, one.said, one.wrong, one.undecided, one.apart, one.missed, one.atMost, one.above)
			of.plus(one)
		}
		t.Logf("%-24s all: %+v", b.name, of)
		all.plus(of)
	}
	said, wrong := all.said+all.apart, all.wrong+all.missed
	t.Logf("%d statements, %d wrong; at most: %d of %d exceeded", said, wrong, all.above, all.atMost)
	if float64(wrong) > 0.025*float64(said)+1 {
		t.Errorf("%d of %d statements are wrong", wrong, said)
	}
	if float64(all.above) > 0.05*float64(all.atMost)+3 {
		t.Errorf("the upper bound was exceeded in %d of %d ladders", all.above, all.atMost)
	}
}

// A sealed respirator whose exercises differ as its filter's flows make them, deep
// breathing and talking three times as much, is not called leaky, and its filter
// not better than it is.
func TestASealedFilterThatFollowsTheFlowIsNotALeak(t *testing.T) {
	u := truth{f: 0.004, leak: []float64{0.04, 0.02, 0.0008, 0.0003}, sd: 0.3, se: 0.3, wearings: 3, exercises: 7, ambient: 100000}
	r := rand.New(rand.NewPCG(4, 7))
	l, is := u.breathe(r, breather{wide: 0.3, habits: true})
	res, err := Solve(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Log(res.Headline(), is.f)
	for c, want := range []Path{MostlySeal, MostlySeal, MostlyFilter, MostlyFilter} {
		if g := res.Rungs[c]; g.Path != want && (c < 2 || g.Path != Undecided) {
			t.Errorf("%s (%+v)", g.Words(), g.SealShare)
		}
	}
	if f := res.Filter; f.High < is.f || f.Low > is.f || f.High > 1.6*is.f {
		t.Errorf("the filter, %g, is said to be %+v", is.f, f)
	}
}

// Totals never have two bounds, however well they agree.
func TestTotalsAloneAreNeverSeparable(t *testing.T) {
	var l Ladder
	for c := range 4 {
		g := Rung{Repairs: climb[c]}
		for range 6 {
			g.Wearings = append(g.Wearings, Wearing{Exercises: []Exercise{{Ambient: 1e6, Inside: 3e5}}})
		}
		l.Rungs = append(l.Rungs, g)
	}
	res, err := Solve(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := span(res.Priors)
	if hi/lo > tellsApart {
		t.Fatalf("from %g to %g: the numbers alone do not ask for it", lo, hi)
	}
	if res.Separable || res.Filter.Low == res.Filter.Low {
		t.Errorf("%s", res.Headline())
	}
}
