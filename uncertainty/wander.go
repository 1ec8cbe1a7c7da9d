package uncertainty

import "math"

// Stretch is one stretch of a series: what is left of its rows after their mean,
// and the variance of a row that counting alone explains (0 when not known).
// RowS is the time from row to row in seconds.
type Stretch struct {
	Residuals []float64
	White     float64
	RowS      float64
	Level     float64 // the mean of which the residuals are what is left
}

// Wander is what a stretch's scatter says about its mean: the part of the mean's
// variance, over long time, that counting does not explain. It may come out below
// zero by chance; only a sum over stretches is held at zero, so that many calm
// stretches do not add up to a false scatter. Spread is the variance of Excess.
type Wander struct {
	Excess float64
	Spread float64
}

// wanderRows is the number of rows to which a longer stretch is averaged: enough
// to see what matters for a mean, and few enough to be quick.
const wanderRows = 480

// correlationTimes are the times in seconds over which a leak may keep its luck,
// with their prior weights: from faster than a breath to a long sentence, and with
// falling weight beyond, where a single exercise could not show them (own choice,
// tried by simulation: docs/science/coverage.md).
var correlationTimes = []struct{ seconds, weight float64 }{
	{0.3, 1}, {0.5, 1}, {0.8, 1}, {1.2, 1}, {1.8, 1}, {2.7, 1}, {4, 1}, {6, 0.8}, {9, 0.5}, {13, 0.2}, {20, 0.05},
}

// Wandering estimates, for several stretches of one run, the long-run variance of
// each mean. The spectrum of a stretch is taken as counting noise plus a first
// order autoregression of unknown size, the correlation time shared by the
// stretches and averaged over (a flat prior on correlationTimes), fitted to the
// squares of the cosine transform by Whittle's likelihood (Whittle 1953; Pawitan,
// In All Likelihood, 2001, section 11.4; both from memory). The slowest cosines by
// themselves (Mueller, Journal of Econometrics 141, 2007; from memory) guard
// against a spectrum of another shape: the larger of the two is taken.
func Wandering(stretches []Stretch) []Wander {
	all := make([]spectrum, len(stretches))
	for i, s := range stretches {
		all[i] = newSpectrum(s)
	}
	weights := make([]float64, len(correlationTimes))
	excess := make([][]float64, len(correlationTimes))
	spread := make([][]float64, len(correlationTimes))
	best := math.Inf(-1)
	for k, tau := range correlationTimes {
		for _, s := range all {
			e, v, l := s.fit(tau.seconds)
			excess[k], spread[k] = append(excess[k], e), append(spread[k], v)
			weights[k] += l
		}
		weights[k] += math.Log(tau.weight)
		best = math.Max(best, weights[k])
	}
	total := 0.0
	for k := range weights {
		weights[k] = math.Exp(weights[k] - best)
		total += weights[k]
	}
	tail := heaviness(stretches)
	out := make([]Wander, len(all))
	for i, s := range all {
		var mean, square, within float64
		for k, w := range weights {
			e := excess[k][i]
			mean += w / total * e
			square += w / total * e * e
			within += w / total * spread[k][i]
		}
		between := square - mean*mean
		if !s.logs {
			within *= tail
		}
		out[i] = s.wander(mean, between/2+within)
	}
	return out
}

// heaviness is by how much heavy tails raise the variance of an estimated
// variance over what a normal series gives: 1 + k/2 with k the excess kurtosis
// (Cramer, Mathematical Methods of Statistics, 1946, 27.4; from memory), pooled
// over the stretches in which counting is the smaller part of the scatter.
func heaviness(stretches []Stretch) float64 {
	var sum, n float64
	for _, s := range stretches {
		var m2, m4 float64
		for _, v := range s.Residuals {
			m2 += v * v
			m4 += v * v * v * v
		}
		rows := float64(len(s.Residuals))
		if m2 == 0 || s.White > m2/rows/2 {
			continue
		}
		sum += m4 * rows * rows / (m2 * m2)
		n += rows
	}
	if n == 0 {
		return 1
	}
	return 1 + math.Max(0, sum/n-3)/2
}

// spectrum is the cosine transform of a stretch, squared.
type spectrum struct {
	power []float64 // at j = 1 .. n-1 half turns, each with mean the spectral density
	n     float64   // rows
	row   float64   // seconds
	white float64
	logs  bool    // of the logarithm of row over level
	level float64 // of the stretch, to come back from logs
}

func newSpectrum(s Stretch) spectrum {
	r := s.Residuals
	out := spectrum{row: s.RowS, white: s.White}
	if group := (len(r) + wanderRows - 1) / wanderRows; group > 1 {
		r = averaged(r, group)
		out.row *= float64(group)
		out.white /= float64(group)
	}
	if logs, ok := logarithms(r, s.Level, out.white); ok {
		out.logs, out.level, r = true, s.Level, logs
		out.white /= s.Level * s.Level
	}
	n := len(r)
	out.n = float64(n)
	for j := 1; j < n; j++ {
		// cos((t+1/2) w) by the recurrence c(t+1) = 2 cos(w) c(t) - c(t-1)
		w := math.Pi * float64(j) / float64(n)
		twice, now, before := 2*math.Cos(w), math.Cos(w/2), math.Cos(w/2)
		sum := 0.0
		for _, v := range r {
			sum += v * now
			now, before = twice*now-before, now
		}
		out.power = append(out.power, 2*sum*sum/float64(n))
	}
	return out
}

// logarithms gives ln(row / level) less its mean, where rows hold enough particles
// for a logarithm.
func logarithms(r []float64, level, white float64) (out []float64, ok bool) {
	if level <= 0 || white <= 0 || white > 0.1*level*level {
		return nil, false
	}
	mean := 0.0
	for _, v := range r {
		ratio := 1 + v/level
		if ratio < 0.01 {
			return nil, false
		}
		out = append(out, math.Log(ratio))
		mean += math.Log(ratio) / float64(len(r))
	}
	for i := range out {
		out[i] -= mean
	}
	return out, true
}

// linear turns the excess density of the logarithm at frequency zero into that of
// the level: a log-normal autoregression of variance v has the autocovariances
// level^2 (exp(v phi^k) - 1).
func (s spectrum) linear(excess, phi float64) float64 {
	v := excess * (1 - phi) / (1 + phi)
	sum, rho := math.Expm1(v), phi
	for k := 0; k < 400 && rho > 1e-3; k++ {
		sum += 2 * math.Expm1(v*rho)
		rho *= phi
	}
	return s.level * s.level * sum
}

func averaged(r []float64, group int) []float64 {
	var out []float64
	for i := 0; i+group <= len(r); i += group {
		sum := 0.0
		for _, v := range r[i : i+group] {
			sum += v
		}
		out = append(out, sum/float64(group))
	}
	return out
}

// fit gives the excess density at frequency zero for a correlation time, its
// variance, and the log likelihood.
func (s spectrum) fit(tau float64) (excess, variance, like float64) {
	if len(s.power) == 0 {
		return 0, 0, 0
	}
	phi := math.Exp(-s.row / tau)
	shape := make([]float64, len(s.power))
	mean := 0.0
	for j := range shape {
		shape[j] = (1 - phi) * (1 - phi) / (1 - 2*phi*math.Cos(math.Pi*float64(j+1)/s.n) + phi*phi)
		mean += s.power[j] / float64(len(s.power))
	}
	if mean == 0 {
		return 0, 0, 0
	}
	floor := math.Max(s.white, 1e-6*mean)
	least := -0.9 * floor // the density stays above zero
	e := math.Max(0, mean-floor)
	var info float64
	for range 25 {
		var top, bottom float64
		for j, g := range shape {
			d := floor + e*g
			top += g * (s.power[j] - floor) / (d * d)
			bottom += g * g / (d * d)
		}
		next := math.Max(least, top/bottom)
		info = bottom
		if math.Abs(next-e) < 1e-6*(math.Abs(e)+floor) {
			e = next
			break
		}
		e = next
	}
	for j, g := range shape {
		d := floor + e*g
		like -= (math.Log(d) + s.power[j]/d) / 2
	}
	if s.logs {
		if e <= 0 {
			return e * s.level * s.level, 2 / info * s.level * s.level * s.level * s.level, like
		}
		back := s.linear(e, phi)
		return back, 2 / info * back * back / (e * e), like
	}
	return e, 2 / info, like
}

// wander turns the excess density into the variance of the mean, guarded by the
// slowest cosines where these lie clearly above the fitted spectrum.
func (s spectrum) wander(excess, spread float64) Wander {
	out := Wander{Excess: excess / s.n, Spread: spread / s.n / s.n}
	b := min(int(2*s.n*s.row/20), len(s.power)/3) // periods of 20 s or more
	if b < 1 {
		return out
	}
	slow := 0.0
	for _, p := range s.power[:b] {
		slow += p / float64(b)
	}
	white := s.white
	if s.logs {
		slow *= s.level * s.level
		white *= s.level * s.level
	}
	if slow > (white+excess)*(1+2*math.Sqrt(2/float64(b))) {
		return Wander{Excess: (slow - white) / s.n, Spread: 2 * slow * slow / float64(b) / s.n / s.n}
	}
	return out
}
