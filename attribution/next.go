package attribution

import (
	"fmt"
	"math"
	"slices"

	"telltale/uncertainty"
)

// NextWearing is the step that is expected to narrow the open question most: by
// how much the seal's shares of all rungs are uncertain.
type NextWearing struct {
	What string `json:"what"`
	// Narrowing is the expected ratio of that uncertainty after the step to now
	// (1 = nothing gained); its bounds are what one step may show.
	Narrowing uncertainty.Estimate `json:"narrowing"`
	Wearings  int                  `json:"wearings"` // about how many such steps settle it; 0 = not to be settled this way
	Text      string               `json:"text"`
	Others    []Step               `json:"others"` // the other steps considered, best first
}

// Step is one step that was considered.
type Step struct {
	What      string               `json:"what"`
	Narrowing uncertainty.Estimate `json:"narrowing"`
	Wearings  int                  `json:"wearings"`
}

const (
	particles = 256 // posterior points that stand for what may be true
	outcomes  = 32  // results that the step may bring
	// settledShare is the sd of a rung's seal share at which it counts as known.
	settledShare = 0.1
	mostSteps    = 40 // more than that is "not this way"
	stepLevel    = 0.8
)

// plan is one possible step.
type plan struct {
	what    string
	counts  int              // pairs of counts it gives
	ambient float64          // room counts of each
	view    func(i int) view // what the i-th particle expects
}

// view is what a particle predicts: the filter's part of each count, and the log
// leak that is scattered. A plan without leak has ln leak = -inf.
type view struct {
	filter []float64 // of each pair of counts
	leak   float64
	factor []float64 // on the leak, of each pair
}

// outlook holds the particles.
type outlook struct {
	s     *solution
	at    []int       // draws
	share [][]float64 // [rung][particle]
	now   float64     // sum over rungs of the variance of the share
}

func (s *solution) outlook() *outlook {
	o := &outlook{s: s}
	for i := range particles {
		o.at = append(o.at, (2*i+1)*s.draws.len()/(2*particles))
	}
	for c := range s.draws.leak {
		var v []float64
		for _, i := range o.at {
			v = append(v, 1/(1+math.Exp(s.draws.lnf[i]-s.draws.leak[c][i])))
		}
		o.share = append(o.share, v)
	}
	even := make([]float64, particles)
	for i := range even {
		even[i] = 1.0 / particles
	}
	o.now = o.spread(even)
	return o
}

// spread is the summed variance of the shares under weights of the particles.
func (o *outlook) spread(w []float64) float64 {
	sum := 0.0
	for _, v := range o.share {
		m, q := 0.0, 0.0
		for i, x := range v {
			m += w[i] * x
			q += w[i] * x * x
		}
		sum += math.Max(q-m*m, 0)
	}
	return sum
}

// next works all plans out; nil when seal and filter are told apart and every
// rung's share is known already. While they are not, at least half of the
// uncertainty has to go.
func (s *solution) next(l *Ladder, separable bool) *NextWearing {
	o := s.outlook()
	target := settledShare * settledShare * float64(len(o.share))
	if o.now <= target && separable {
		return nil
	}
	target = min(target, o.now/4)
	var steps []Step
	for _, p := range o.plans(l) {
		steps = append(steps, o.step(p, target))
	}
	slices.SortStableFunc(steps, func(a, b Step) int {
		switch d := a.Narrowing.Value - b.Narrowing.Value; {
		case d < 0:
			return -1
		case d > 0:
			return 1
		}
		return 0
	})
	best := steps[0]
	n := &NextWearing{What: best.What, Narrowing: best.Narrowing, Wearings: best.Wearings, Others: steps[1:]}
	n.Text = best.text()
	if len(steps) > 1 {
		n.Text += "; next best: " + steps[1].text()
	}
	return n
}

// text words a step.
func (s Step) text() string {
	many := "will hardly settle it alone"
	switch {
	case s.Wearings == 1:
		many = "about one should settle it"
	case s.Wearings > 1:
		many = fmt.Sprintf("about %d should settle it", s.Wearings)
	}
	return fmt.Sprintf("%s: expected to leave %.0f %% of the present uncertainty (%.0f to %.0f %%), %s",
		s.What, 100*s.Narrowing.Value, 100*s.Narrowing.Low, 100*s.Narrowing.High, many)
}

// step works one plan: results are drawn from some particles, and every particle
// is weighed by how well it foretells them.
func (o *outlook) step(p plan, target float64) Step {
	seen := make([]*seer, particles)
	for i := range seen {
		seen[i] = o.seer(p, i)
	}
	rng := newWalker(200).rng
	narrow, mean := make([]float64, 0, outcomes), 0.0
	w := make([]float64, particles)
	for k := range outcomes {
		y := seen[(2*k+1)*particles/(2*outcomes)].result(rng.NormFloat64, rng.Float64)
		for i, s := range seen {
			w[i] = s.foretells(y)
		}
		normalise(w)
		v := o.spread(w) / o.now
		mean += v / outcomes
		narrow = append(narrow, math.Sqrt(v))
	}
	q := order(narrow, nil)
	st := Step{What: p.what}
	st.Narrowing = uncertainty.New(math.Sqrt(mean), min(q.at((1-stepLevel)/2), math.Sqrt(mean)), max(q.at((1+stepLevel)/2), math.Sqrt(mean)), stepLevel,
		"foretold from the present posterior; the bounds are what one such step may show")
	if gain := 1/mean - 1; gain > 0.005 {
		if n := int(math.Ceil((o.now/target - 1) / gain)); n <= mostSteps {
			st.Wearings = max(n, 1)
		}
	}
	return st
}
