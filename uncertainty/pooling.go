package uncertainty

import "math"

// Pooled is the outcome of partial pooling: values known with different errors,
// each drawn some way to their common mean.
type Pooled struct {
	Mean    Estimate   // common mean
	MeanSD  float64    // its posterior sd
	Tau     Estimate   // spread between the true values; its value is the posterior median
	TauMean float64    // posterior mean; may be infinite for three values
	Each    []Estimate // true values; Value is the posterior mean
	EachSD  []float64
}

const (
	assumePooling = "true values are normal about a common mean with a spread of flat prior; errors are normal and known"
	poolingFew    = "partial pooling needs three or more values with known errors; the values are shown as they are"
)

// PartialPool shrinks values with known standard errors to their common mean: the
// normal hierarchical model with flat priors on the mean and on the spread tau,
// the tau integrated by quadrature and the rest in closed form (Gelman and others,
// Bayesian Data Analysis, section 5.4; from memory). With fewer than three values
// the posterior of tau does not exist and nothing is shrunk.
func PartialPool(values, errors []float64, level float64) Pooled {
	if len(values) != len(errors) {
		panic("uncertainty: PartialPool needs one error for each value")
	}
	p := Pooled{Each: make([]Estimate, len(values)), EachSD: make([]float64, len(values))}
	if len(values) < 3 || !allPositive(errors) {
		z := -normalQuantile((1 - level) / 2)
		for i, v := range values {
			p.Each[i] = New(v, v-z*errors[i], v+z*errors[i], level, assumePooling, poolingFew)
			p.EachSD[i] = errors[i]
		}
		p.Mean, p.Tau = NewUnknown(level, assumePooling, poolingFew), NewUnknown(level, assumePooling, poolingFew)
		p.MeanSD, p.TauMean = math.NaN(), math.NaN()
		return p
	}
	nodes := poolingNodes(values, errors)
	p.Mean, p.MeanSD = mixtureEstimate(nodes, level, func(n poolNode) (m, v float64) { return n.mean, n.variance })
	for i := range values {
		p.Each[i], p.EachSD[i] = mixtureEstimate(nodes, level, func(n poolNode) (m, v float64) {
			return n.each(values[i], errors[i])
		})
	}
	p.Tau, p.TauMean = tauEstimate(nodes, level)
	return p
}

func allPositive(x []float64) bool {
	for _, v := range x {
		if !(v > 0) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// poolNode is one value of tau with its posterior weight and the posterior mean
// and variance of the common mean given it.
type poolNode struct{ tau, weight, mean, variance float64 }

// each is the posterior mean and variance of one true value given tau.
func (n poolNode) each(y, se float64) (m, v float64) {
	if n.tau == 0 {
		return n.mean, n.variance
	}
	shrink := se * se / (se*se + n.tau*n.tau) // weight of the common mean
	m = shrink*n.mean + (1-shrink)*y
	return m, (1-shrink)*se*se + shrink*shrink*n.variance
}

// poolingNodes are trapezium nodes in ln tau, from a billionth to some ten million
// times the scale of the data.
func poolingNodes(values, errors []float64) []poolNode {
	m := MomentsOf(values)
	scale := m.SD
	for _, e := range errors {
		scale = math.Max(scale, e)
	}
	const steps = 1200
	nodes := make([]poolNode, 0, steps+1)
	logs := make([]float64, 0, steps+1)
	top := math.Inf(-1)
	for i := 0; i <= steps; i++ {
		u := -21 + 37*float64(i)/steps // ln(tau/scale)
		n := poolNode{tau: scale * math.Exp(u)}
		l := n.condition(values, errors) + u // flat in tau: d tau = tau du
		nodes, logs = append(nodes, n), append(logs, l)
		top = math.Max(top, l)
	}
	var total float64
	for i := range nodes {
		nodes[i].weight = math.Exp(logs[i] - top)
		total += nodes[i].weight
	}
	for i := range nodes {
		nodes[i].weight /= total
	}
	return nodes
}

// condition fills in the common mean given tau and gives the log posterior density
// of tau up to a constant.
func (n *poolNode) condition(values, errors []float64) float64 {
	var precision, top, log float64
	for i, y := range values {
		v := errors[i]*errors[i] + n.tau*n.tau
		precision += 1 / v
		top += (y - values[0]) / v
		log -= math.Log(v) / 2
	}
	shift := top / precision
	n.mean, n.variance = values[0]+shift, 1/precision
	log -= math.Log(precision) / 2
	for i, y := range values {
		d := y - values[0] - shift
		log -= d * d / 2 / (errors[i]*errors[i] + n.tau*n.tau)
	}
	return log
}

// mixtureEstimate is the mean, sd and interval of a mixture of normals.
func mixtureEstimate(nodes []poolNode, level float64, at func(poolNode) (m, v float64)) (Estimate, float64) {
	kept, means, sds := make([]float64, 0, len(nodes)), make([]float64, 0, len(nodes)), make([]float64, 0, len(nodes))
	var mean, second float64
	for _, n := range nodes {
		if n.weight < 1e-16 {
			continue
		}
		m, v := at(n)
		kept, means, sds = append(kept, n.weight), append(means, m), append(sds, math.Sqrt(v))
		mean += n.weight * m
	}
	for i, w := range kept {
		d := means[i] - mean
		second += w * (sds[i]*sds[i] + d*d)
	}
	sd := math.Sqrt(second)
	quantile := func(p float64) float64 {
		return outward(func(x float64) float64 {
			sum := -p
			for i, w := range kept {
				sum += w * normalCDF((x-means[i])/sds[i])
			}
			return sum
		}, mean-4*sd, mean+4*sd)
	}
	tail := (1 - level) / 2
	return New(mean, quantile(tail), quantile(1-tail), level, assumePooling), sd
}

// tauEstimate reads the quantiles of tau off the cumulated weights in ln tau.
func tauEstimate(nodes []poolNode, level float64) (Estimate, float64) {
	var mean float64
	for _, n := range nodes {
		mean += n.weight * n.tau
	}
	tail := (1 - level) / 2
	return New(tauQuantile(nodes, 0.5), tauQuantile(nodes, tail), tauQuantile(nodes, 1-tail), level, assumePooling), mean
}

// tauQuantile finds the cell of ln tau that holds p. The mass up to a cell's end is
// the sum of weights with the end correction of the midpoint rule; within the cell
// the density runs straight.
func tauQuantile(nodes []poolNode, p float64) float64 {
	step := math.Log(nodes[1].tau / nodes[0].tau)
	var sum, start float64
	for i := 1; i+1 < len(nodes); i++ {
		before, here, after := nodes[i-1].weight, nodes[i].weight, nodes[i+1].weight
		sum += here
		end := sum + (after-here)/24
		if end >= p {
			at := straight(p-start, (before+here)/2, (after-before)/2)
			return nodes[i].tau * math.Exp(step*(math.Min(1, at)-0.5))
		}
		start = end
	}
	return nodes[len(nodes)-1].tau
}

// straight is how far to go to gather the mass where the density starts at d and
// rises evenly, in the form that is good for a rise near zero.
func straight(mass, d, rise float64) float64 {
	return 2 * mass / away(d+math.Sqrt(math.Max(0, d*d+2*rise*mass)))
}
