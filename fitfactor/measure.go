package fitfactor

import (
	"math"

	"telltale/uncertainty"
)

// part is what an exercise contributes to figures: its penetration and all that
// makes it uncertain, in the unit of the penetration.
type part struct {
	rows        series
	penetration float64
	inside      uncertainty.WeightedCount
	back        uncertainty.WeightedCount
	ambient     []pull  // how the visits to the room pull on it
	counted     float64 // ambient counts behind it, two counters
	brackets    []bracket
	poisson     float64 // variance of the penetration by counting alone; NaN without counts
	residuals   []float64
	wander      uncertainty.Wander // variance of the penetration that counting does not explain
	capped      struct{ ambient, inside bool }
}

// pull is the share with which a visit's mean enters the ambient level.
type pull struct {
	visit int
	share float64 // of the exercise's ambient level
}

// measure computes one exercise.
func (r *Result) measure(x *Exercise, m room, inside series, back backgrounds, pair Pairing) {
	p := &x.part
	missing, longest, gaps := holes(p.rows, inside, m)
	if span := p.rows.seconds() + missing; span > 0 {
		x.Coverage = p.rows.seconds() / span
	}
	if x.Counted {
		r.Signs.Gaps += gaps
		r.Signs.LongestGapS = math.Max(r.Signs.LongestGapS, longest)
	}
	rows := p.rows.used()
	x.SecondsS, x.InsideCounts = rows.seconds(), math.NaN()
	x.Ambient, x.Inside, x.Inflation = math.NaN(), math.NaN(), math.NaN()
	p.penetration = math.NaN()
	if len(rows) == 0 || !r.ambientOf(x, m, rows) {
		if p.capped.ambient {
			x.Ambient = math.NaN() // beyond a range of which nothing is known
		}
		x.FitFactor = uncertainty.NewUnknown(r.Level, "no usable reading of one of the two airs")
		return
	}
	x.InsideCounts = rows.counts()
	p.capped.inside = rows.capped() > 0
	if p.capped.inside && rows.mean() == 0 { // beyond a range of which nothing is known
		x.InsideCounts = math.NaN()
		x.FitFactor = uncertainty.NewUnknown(r.Level, "the air inside is beyond the counter's range, and its top is not known")
		return
	}
	x.Inside = (rows.mean() - back.inside.conc) / pair.Factor
	p.penetration = x.Inside / x.Ambient
	p.weigh(x, rows, back, pair)
	p.left(x, m, rows, pair)
}

// conclude computes the scatter of all exercises together, since they share how
// long a leak keeps its luck, and from it each exercise's figure.
func (r *Result) conclude(m room, pair Pairing) {
	var usable []*Exercise
	var stretches []uncertainty.Stretch
	for i := range r.Exercises {
		x := &r.Exercises[i]
		if math.IsNaN(x.part.penetration) {
			continue
		}
		n := float64(len(x.part.residuals))
		s := uncertainty.Stretch{Residuals: x.part.residuals, RowS: x.SecondsS / n, Level: x.part.penetration}
		if !math.IsNaN(x.part.poisson) {
			s.White = x.part.poisson * n
		}
		usable, stretches = append(usable, x), append(stretches, s)
	}
	for i, w := range uncertainty.Wandering(stretches) {
		usable[i].part.wander = w
	}
	for _, x := range usable {
		x.FitFactor, x.guard = r.estimates([]*Exercise{x}, m, pair)
		x.Inflation = inflation([]*Exercise{x}, r.Level, printed)
		x.effective = effectiveOf(quotient([]*Exercise{x}, m, pair, r.Level, printed))
	}
}

// ambientOf fills the ambient level of the exercise; false when none is known.
func (r *Result) ambientOf(x *Exercise, m room, rows series) bool {
	p := &x.part
	if m.continuous {
		air := m.all.between(rows[0].row, rows[len(rows)-1].row+1)
		if len(air) == 0 {
			return false
		}
		x.Ambient = air.mean() - m.back.conc
		p.counted = air.counts()
		p.capped.ambient = air.capped() > 0
		half := len(air) / 2
		if half > 0 && air.mean() > 0 {
			x.Drift = 2 * (air[half:].mean() - air[:half].mean()) / air.mean()
		}
		return x.Ambient > 0
	}
	p.brackets = m.brackets(rows)
	level := 0.0
	for _, b := range p.brackets {
		level += b.share * m.mean(b)
		x.Drift += b.share * finiteOr(m.drift(b), 0)
		p.capped.ambient = p.capped.ambient || m.samples[b.before].capped || m.samples[b.after].capped
	}
	x.Ambient = level
	for _, b := range p.brackets {
		p.ambient = append(p.ambient, pull{b.before, b.share * m.samples[b.before].mean / 2 / level},
			pull{b.after, b.share * m.samples[b.after].mean / 2 / level})
	}
	return level > 0
}

// weigh gives the inside counts, and the background's, their worth in
// penetration.
func (p *part) weigh(x *Exercise, rows series, back backgrounds, pair Pairing) {
	gross := rows.mean() / pair.Factor / x.Ambient
	counts := rows.counts()
	p.inside = uncertainty.WeightedCount{Count: counts, Weight: 1 / (rows.volume() * pair.Factor * x.Ambient)}
	if counts > 0 {
		p.inside.Weight = gross / counts // holds the dead-time correction
	}
	if b := back.inside; b.known && !math.IsInf(b.volume, 1) {
		p.back = uncertainty.WeightedCount{Count: b.counts, Weight: 1 / (b.volume * pair.Factor * x.Ambient)}
	}
	p.poisson = p.inside.Count * p.inside.Weight * p.inside.Weight
	if p.counted > 0 {
		p.poisson += gross * gross / p.counted
	}
}

// left keeps what is left of each reading after the room's course: inside minus
// penetration times room, in the unit of the penetration. With two counters it
// holds the room's counting and wander too.
func (p *part) left(x *Exercise, m room, rows series, pair Pairing) {
	level := make(map[int]float64, len(rows))
	if m.continuous {
		for _, a := range m.all.between(rows[0].row, rows[len(rows)-1].row+1) {
			level[a.row] = a.conc
		}
	}
	gross := rows.mean() / pair.Factor / x.Ambient
	for _, y := range rows {
		a, ok := level[y.row]
		switch {
		case m.continuous && !ok:
			continue
		case !m.continuous:
			a = m.at(m.around(y.row), y.t)
		}
		p.residuals = append(p.residuals, (y.conc/pair.Factor-gross*a)/x.Ambient)
	}
	mean := 0.0
	for _, v := range p.residuals {
		mean += v / float64(len(p.residuals))
	}
	for i := range p.residuals {
		p.residuals[i] -= mean
	}
}

// cosines is how many slow cosines measure the long-run variance: those with a
// period of 20 s or more, at least 4 and at most 20, and never more than a third
// of the rows. Breathing (about 4 s) and talking lie well inside. Own rule, tried
// by simulation (docs/science/coverage.md).
func cosines(rows int, seconds float64) int {
	b := max(4, min(20, int(math.Round(2*seconds/20))))
	return max(1, min(b, rows/3))
}

// holes finds the missing rows inside an exercise: gaps of more than three sample
// periods are counted, and every missing second.
func holes(rows, inside series, m room) (missing, longest float64, gaps int) {
	for i := 1; i < len(rows); i++ {
		before, x := rows[i-1], rows[i]
		gap := x.t - before.t - before.dt
		if gap <= 0.5*before.dt || !m.continuous && m.sampledBetween(before.row, x.row) {
			continue
		}
		missing += gap
		longest = math.Max(longest, gap)
		if gap > 2*before.dt {
			gaps++
		}
	}
	return missing, longest, gaps
}

// sampledBetween reports whether the line visited the room between two rows.
func (r room) sampledBetween(from, to int) bool {
	for _, s := range r.samples {
		if s.from > from && s.to <= to {
			return true
		}
	}
	return false
}
