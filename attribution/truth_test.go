package attribution

import (
	"math/rand/v2"
	"testing"

	"telltale/quantity"
	"telltale/uncertainty"
)

// scenario is a named truth. A beyond scenario breaks the model on purpose; its
// count is printed and not held against the rule.
type scenario struct {
	name string
	truth
	change func(l *Ladder, r *rand.Rand)
	beyond bool
}

func scenarios() []scenario {
	t := func(f float64, leak ...float64) truth {
		return truth{f: f, leak: leak, sd: 0.5, se: 0.4, wearings: 4, exercises: 7, ambient: 600}
	}
	with := func(u truth, change func(*truth)) truth { change(&u); return u }
	steady := func(k float64) func(*truth) { return func(u *truth) { u.steadyTop = k } }
	capped := func(l *Ladder, _ *rand.Rand) {
		for c := range l.Rungs {
			for w := range l.Rungs[c].Wearings {
				x := &l.Rungs[c].Wearings[w]
				x.Bound = PenetrationAtMost
				for e := range x.Exercises {
					x.Exercises[e].Ambient *= 0.5
				}
			}
		}
	}
	holder := func(l *Ladder, r *rand.Rand) {
		l.Breathing = quantity.LitresPerMinute(30)
		l.Holders = []Holder{{ID: "h", Specimen: "b", Upstream: 6000, Downstream: poisson(r, 6000*0.012), Flow: l.Breathing, Area: 160}}
	}
	s := []scenario{
		{name: "leaky nose, good filter", truth: t(0.004, 0.08, 0.02, 0.002, 0.0005)},
		{name: "good seal, weak filter", truth: t(0.06, 0.004, 0.003, 0.001, 0.0005)},
		{name: "leaky and weak", truth: t(0.04, 0.08, 0.05, 0.02, 0.01)},
		{name: "neither", truth: t(0.002, 0.003, 0.001, 0.0005, 0.0002)},
		{name: "a repair that harms", truth: t(0.012, 0.02, 0.05, 0.006, 0.001)},
		{name: "the leak stays", truth: t(0.003, 0.05, 0.04, 0.03, 0.02)},
		{name: "the ladder of the check", truth: t(0.012, 0.06, 0.02, 0.006, 0.001)},
		{name: "half and half", truth: t(0.01, 0.05, 0.02, 0.012, 0.008)},
		{name: "one wearing on each of two rungs", truth: with(t(0.012, 0.06, 0.006), func(u *truth) { u.wearings = 1 })},
		{name: "zero counts on the top rung", truth: with(t(0.0002, 0.02, 0.01, 0.001, 0.0001), func(u *truth) { u.ambient = 100 })},
		{name: "a very good filter", truth: with(t(0.00002, 0.01, 0.004, 0.001, 0.0004), func(u *truth) { u.ambient = 20000 })},
		{name: "capped room counter", truth: t(0.012, 0.06, 0.02, 0.006, 0.001), change: capped},
		{name: "holder run of another specimen", truth: t(0.012, 0.06, 0.02, 0.006, 0.001), change: holder},
		{name: "last rung's scatter half", truth: with(t(0.012, 0.06, 0.02, 0.006, 0.006), steady(0.5))},
		{name: "last rung's scatter double", truth: with(t(0.012, 0.06, 0.02, 0.006, 0.006), steady(2))},
		{name: "the leak stays, last scatter half", truth: with(t(0.003, 0.05, 0.04, 0.03, 0.02), steady(0.5))},
		{name: "small scatters", truth: with(t(0.012, 0.06, 0.02, 0.006, 0.006), func(u *truth) { u.sd, u.se = 0.2, 0.2 })},
		{name: "the leak stays, small scatters", truth: with(t(0.003, 0.05, 0.04, 0.03, 0.02), func(u *truth) { u.sd, u.se = 0.2, 0.15 })},
		// fit factors relative to the best exercise: up and down 0.67, talking 0.56,
		// bending 0.62 (published exercise hierarchy of 30 models, abstract)
		{name: "exercises in their published order", truth: with(t(0.012, 0.06, 0.02, 0.006, 0.001), func(u *truth) {
			u.order = []float64{1, 1, 1, 1 / 0.67, 1 / 0.56, 1 / 0.62, 1}
		})},
		{name: "Student's lucks, 3 df", truth: with(t(0.012, 0.06, 0.02, 0.006, 0.006), func(u *truth) { u.student = true })},
		{name: "a last leak that does not move (1/10)", truth: with(t(0.003, 0.05, 0.04, 0.03, 0.02), steady(0.1)), beyond: true},
	}
	for _, x := range s[:len(s):len(s)] {
		x.name += ", totals"
		x.ambient *= float64(x.exercises)
		x.exercises, x.order = 1, nil
		s = append(s, x)
	}
	return s
}

// score counts statements and the wrong ones.
type score struct{ said, wrong, undecided, apart, missed, atMost, above, rounds int }

func (s *score) add(r *Result, u truth) {
	s.rounds++
	for c, g := range r.Rungs {
		switch {
		case g.Path == Undecided:
			s.undecided++
			continue
		case (g.Path == MostlySeal) != (u.leak[c] > u.f):
			s.wrong++
		}
		s.said++
	}
	switch r.Filter.Kind {
	case uncertainty.Interval:
		s.apart++
		if u.f < r.Filter.Low || u.f > r.Filter.High {
			s.missed++
		}
	case uncertainty.AtMost:
		s.atMost++
		if u.f > r.Filter.High {
			s.above++
		}
	}
}

func (s *score) plus(o score) {
	s.said, s.wrong, s.undecided, s.rounds = s.said+o.said, s.wrong+o.wrong, s.undecided+o.undecided, s.rounds+o.rounds
	s.apart, s.missed, s.atMost, s.above = s.apart+o.apart, s.missed+o.missed, s.atMost+o.atMost, s.above+o.above
}

// The truth table: of what is said over all named truths, at most 2.5 % may be
// wrong, be it which way most takes or the filter's two bounds. The one-sided
// bound may fail in 5 % of the ladders, by its level.
func TestFewStatementsAreWrong(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var all score
	for _, s := range scenarios() {
		var one score
		n := 1
		if s.exercises == 1 {
			n = 3 // quick
		}
		if *rounds > 0 {
			n = *rounds
		}
		for range n {
			l := s.ladder(r)
			if s.change != nil {
				s.change(&l, r)
			}
			res, err := Solve(l, Options{})
			if err != nil {
				t.Fatal(err)
			}
			one.add(&res, s.truth)
		}
		t.Logf("%-46s paths said %3d wrong %2d undecided %3d | intervals %3d missed %2d | at most %3d exceeded %2d", s.name, one.said, one.wrong, one.undecided, one.apart, one.missed, one.atMost, one.above)
		if !s.beyond {
			all.plus(one)
		}
	}
	said, wrong := all.said+all.apart, all.wrong+all.missed
	t.Logf("all: %d statements, %d wrong (%.2f %%); %d of %d paths undecided; at most: %d of %d exceeded", said, wrong, 100*float64(wrong)/float64(said),
		all.undecided, all.undecided+all.said, all.above, all.atMost)
	if float64(wrong) > 0.025*float64(said)+1 {
		t.Errorf("%d of %d statements are wrong", wrong, said)
	}
	if float64(all.above) > 0.05*float64(all.atMost)+3 {
		t.Errorf("the upper bound was exceeded in %d of %d ladders", all.above, all.atMost)
	}
}
