package attribution

import (
	"math"
	"math/rand/v2"

	"telltale/record"
)

// truth is what a simulated ladder is made of.
type truth struct {
	f         float64
	leak      []float64
	sd, se    float64 // scatter of the log leak between wearings and exercises
	wearings  int
	exercises int       // 1 = totals only
	ambient   float64   // expected counts of the room per exercise
	steadyTop float64   // factor on both scatters of the last rung; 0 = 1
	order     []float64 // each exercise multiplies the leak by its own factor
	student   bool      // lucks from Student's t with 3 degrees of freedom, same sd
}

// poisson draws by inversion in the small and by rounding a normal in the large.
func poisson(r *rand.Rand, mean float64) float64 {
	if mean > 500 {
		return math.Max(0, math.Round(mean+math.Sqrt(mean)*r.NormFloat64()))
	}
	l, k, p := math.Exp(-mean), 0.0, r.Float64()
	for p > l {
		p *= r.Float64()
		k++
	}
	return k
}

func (u truth) luck(r *rand.Rand) float64 {
	if !u.student {
		return r.NormFloat64()
	}
	c := 0.0
	for range 3 {
		z := r.NormFloat64()
		c += z * z
	}
	return r.NormFloat64() / math.Sqrt(c/3) / math.Sqrt(3)
}

var climb = [][]record.Repair{nil, {{Word: "nose_strip"}}, {{Word: "tape", Zone: "all"}}, {{Word: "tape", Zone: "all"}, {Word: "brace"}}}

func (u truth) ladder(r *rand.Rand) Ladder {
	var l Ladder
	for c, leak := range u.leak {
		k := 1.0
		if c == len(u.leak)-1 && u.steadyTop > 0 {
			k = u.steadyTop
		}
		g := Rung{Repairs: climb[c]}
		for range u.wearings {
			d := math.Log(leak) + k*u.sd*u.luck(r)
			w := Wearing{}
			for j := range u.exercises {
				x := d
				if u.exercises > 1 {
					x += k * u.se * u.luck(r)
				}
				if u.order != nil {
					x += math.Log(u.order[j])
				}
				e := Exercise{Ambient: poisson(r, u.ambient), FlowFactor: 1}
				for e.Inside = math.Inf(1); e.Inside > e.Ambient; {
					e.Inside = poisson(r, u.ambient*min(u.f+math.Exp(x), 0.9))
				}
				w.Exercises = append(w.Exercises, e)
			}
			g.Wearings = append(g.Wearings, w)
		}
		l.Rungs = append(l.Rungs, g)
	}
	return l
}
