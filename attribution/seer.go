package attribution

import "math"

// Gauss and Hermite's five points for a standard normal luck.
var hermite = []struct{ at, weight float64 }{
	{-2.856970013872806, 0.011257411327720691}, {-1.355626179974266, 0.22207592200561263}, {0, 0.5333333333333333},
	{1.355626179974266, 0.22207592200561263}, {2.856970013872806, 0.011257411327720691},
}

// seer is one particle's prediction of a plan's counts.
type seer struct {
	view
	p     plan
	d, e  float64     // scatters
	means [][]float64 // [count][wearing luck x exercise luck] expected counts
	lns   [][]float64 // their logs
}

func (o *outlook) seer(p plan, i int) *seer {
	d := o.s.draws
	s := &seer{view: p.view(i), p: p, d: math.Exp(d.lnd[o.at[i]])}
	if o.s.m.deep && p.counts > 1 {
		s.e = math.Exp(d.lne[o.at[i]])
	}
	for c := range p.counts {
		var mean, ln []float64
		for _, a := range hermite {
			for _, b := range s.inner() {
				v := p.ambient * (s.filter[c] + s.factor[c]*math.Exp(s.leak+s.d*a.at+s.e*b.at))
				mean, ln = append(mean, v), append(ln, math.Log(v))
			}
		}
		s.means, s.lns = append(s.means, mean), append(s.lns, ln)
	}
	return s
}

// inner are the points of the exercise luck; one when there is none.
func (s *seer) inner() []struct{ at, weight float64 } {
	if s.e == 0 {
		return hermite[2:3]
	}
	return hermite
}

// result draws counts, to the nearest whole number of a normal in the large.
func (s *seer) result(normal, uniform func() float64) []float64 {
	y := make([]float64, s.p.counts)
	luck := s.d * normal()
	for c := range y {
		mean := s.p.ambient * (s.filter[c] + s.factor[c]*math.Exp(s.leak+luck+s.e*normal()))
		if mean > 50 {
			y[c] = math.Max(0, math.Round(mean+math.Sqrt(mean)*normal()))
			continue
		}
		for u, l := uniform(), math.Exp(-mean); u > l; y[c]++ {
			u *= uniform()
		}
	}
	return y
}

// foretells is the log probability of counts, up to what all particles share.
func (s *seer) foretells(y []float64) float64 {
	var sum [5]float64 // over the wearing's luck, logs
	inner := s.inner()
	whole := 0.0
	if s.e == 0 {
		whole = 1
	}
	for a := range sum {
		sum[a] = math.Log(hermite[a].weight)
		for c := range y {
			top, part := math.Inf(-1), 0.0
			var ln [5]float64
			for b := range inner {
				k := a*len(inner) + b
				ln[b] = y[c]*s.lns[c][k] - s.means[c][k]
				top = max(top, ln[b])
			}
			for b := range inner {
				if whole == 1 {
					part = 1
					continue
				}
				part += inner[b].weight * math.Exp(ln[b]-top)
			}
			sum[a] += top + math.Log(part)
		}
	}
	return lnSum(sum[:])
}
