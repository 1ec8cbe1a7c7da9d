package attribution

import (
	"cmp"
	"slices"
	"sort"
)

// ordered is a weighted sample in order, for its quantiles.
type ordered struct {
	x, cum []float64
	from   []int // where each stood before
}

// order sorts a sample; nil weights are equal ones.
func order(x, w []float64) ordered {
	type place struct {
		x    float64
		from int
	}
	all := make([]place, len(x))
	for i, v := range x {
		all[i] = place{v, i}
	}
	slices.SortFunc(all, func(a, b place) int { return cmp.Compare(a.x, b.x) })
	o := ordered{x: make([]float64, len(x)), from: make([]int, len(x))}
	for i, p := range all {
		o.x[i], o.from[i] = p.x, p.from
	}
	return o.under(w)
}

// under gives the same sample under other weights.
func (o ordered) under(w []float64) ordered {
	o.cum = make([]float64, len(o.x))
	sum := 0.0
	for i, k := range o.from {
		v := 1 / float64(len(o.x))
		if w != nil {
			v = w[k]
		}
		o.cum[i] = sum + v/2
		sum += v
	}
	return o
}

// at is the quantile at p, interpolated between neighbours.
func (o ordered) at(p float64) float64 {
	n := len(o.x)
	switch i := sort.SearchFloat64s(o.cum, p); {
	case i == 0:
		return o.x[0]
	case i == n:
		return o.x[n-1]
	case o.cum[i] == o.cum[i-1]:
		return o.x[i]
	default:
		return o.x[i-1] + (o.x[i]-o.x[i-1])*(p-o.cum[i-1])/(o.cum[i]-o.cum[i-1])
	}
}
