package attribution

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

type scenario struct {
	name string
	truth
}

func scenarios() []scenario {
	t := func(f float64, leak ...float64) truth {
		return truth{f: f, leak: leak, sd: 0.5, se: 0.4, wearings: 4, exercises: 7, ambient: 600}
	}
	with := func(u truth, change func(*truth)) truth { change(&u); return u }
	s := []scenario{
		{"leaky nose, good filter", t(0.004, 0.08, 0.02, 0.002, 0.0005)},
		{"good seal, weak filter", t(0.06, 0.004, 0.003, 0.001, 0.0005)},
		{"leaky and weak", t(0.04, 0.08, 0.05, 0.02, 0.01)},
		{"neither", t(0.002, 0.002, 0.001, 0.0005, 0.0002)},
		{"a repair that harms", t(0.012, 0.02, 0.05, 0.006, 0.001)},
		{"the leak stays", t(0.003, 0.05, 0.04, 0.03, 0.02)},
		{"as in the check", t(0.012, 0.06, 0.02, 0.006, 0.001)},
		{"half and half", t(0.01, 0.05, 0.02, 0.01, 0.008)},
		{"two wearings only", with(t(0.012, 0.06, 0.006), func(u *truth) { u.wearings = 1 })},
		{"zero counts on the top rung", with(t(0.0002, 0.02, 0.01, 0.001, 0.0001), func(u *truth) { u.ambient = 100 })},
		{"scatter 1/2 on the last rung", with(t(0.012, 0.06, 0.02, 0.006, 0.006), func(u *truth) { u.steadyTop = 0.5 })},
		{"leak stays, scatter 1/2 last", with(t(0.003, 0.05, 0.04, 0.03, 0.02), func(u *truth) { u.steadyTop = 0.5 })},
		{"scatter small", with(t(0.012, 0.06, 0.02, 0.006, 0.006), func(u *truth) { u.sd, u.se = 0.2, 0.2 })},
		{"leak stays, scatter small", with(t(0.003, 0.05, 0.04, 0.03, 0.02), func(u *truth) { u.sd, u.se = 0.2, 0.15 })},
		{"heavy tails", with(t(0.012, 0.06, 0.02, 0.006, 0.006), func(u *truth) { u.student = true })},
	}
	n := len(s)
	for _, x := range s[:n] {
		x.name += ", totals"
		x.ambient *= float64(x.exercises)
		x.exercises = 1
		s = append(s, x)
	}
	return s
}

func TestTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, s := range scenarios() {
		var wrong, said, undecided, separable, missed, missedAny, above int
		var width float64
		const rounds = 12
		for range rounds {
			res, err := Solve(s.ladder(r), Options{})
			if err != nil {
				t.Fatal(err)
			}
			for c, g := range res.Rungs {
				switch {
				case g.Path == Undecided:
					undecided++
				default:
					said++
					if (g.Path == MostlySeal) != (s.leak[c] > s.f) {
						wrong++
					}
				}
			}
			b := res.Priors[0].Filter
			if res.Separable {
				b = res.Filter
			}
			miss := s.f < b.Low || s.f > b.High
			if miss {
				missedAny++
			}
			if res.Separable {
				separable++
				width += b.High / b.Low
				if miss {
					missed++
				}
			} else if s.f > res.Filter.High {
				above++
			}
		}
		fmt.Printf("%-40s said %3d wrong %3d undecided %3d  separable %2d/%d missed %d (any %d) above %d width %.2f\n", s.name, said, wrong, undecided, separable, rounds, missed, missedAny, above, width/float64(separable))
	}
}
