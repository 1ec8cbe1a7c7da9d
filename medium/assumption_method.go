package medium

import (
	"fmt"
	"math"

	"telltale/quantity"
	"telltale/reference"
)

func (p *physical) ofArea() Assumption {
	v := everything(p.set)
	middle := func(area quantity.Area) float64 {
		b := newBench(benchSizes, area)
		members := b.family(p.limit, own, 0, []int{1})
		if len(members) == 0 {
			return math.NaN()
		}
		passes, sum := b.breathed(members[0], v.usual), 0.0
		for _, r := range v.rooms {
			sum -= math.Log(p.reaches[r].passing(passes))
		}
		return math.Exp(sum / float64(len(v.rooms)))
	}
	least, usual, most := middle(leastArea), middle(usualArea), middle(mostArea)
	a := Assumption{Name: "filter area", Values: fmt.Sprintf("%v cm2; %v-%v", float64(usualArea), float64(leastArea), float64(mostArea)),
		Settles: "measure the area of the medium that air passes",
		Source:  reference.Source{Title: "PMC7406964, captions of figures 4 and 5", Section: "10 cm/s is about 105 L/min, that is 175 cm2; the range is from memory", State: reference.FromMemory}}
	if math.IsNaN(usual + least + most) {
		return a.ends(p.centre())
	}
	return a.ends(p.relative(usual, least, most)...)
}

func (p *physical) ofSizeRatio() Assumption {
	v := everything(p.set)
	return Assumption{Name: "size ratio r", InBand: true, Values: fmt.Sprintf("%.2f; %.2f-%.2f", central.R*p.kappa, lowR*p.kappa, highR*p.kappa),
		Settles: "clamp the filter in a holder and count by size, or use a size channel",
		Source:  reference.Source{Title: "Rengasamy, Eimer and Shaffer 2009; PMC10474009 table 1", Section: "most penetrating against photometric penetration, 0.68-0.83; upper end assumed", State: reference.Read},
	}.ends(p.empirical(Empirical{lowR, central.M}, v.usual, v), p.empirical(Empirical{highR, central.M}, v.usual, v))
}

func (p *physical) ofExponent() Assumption {
	v := everything(p.set)
	return Assumption{Name: "flow exponent m", InBand: true, Values: fmt.Sprintf("%.2f; %.2f-%.2f", central.M, lowM, highM),
		Settles: "clamp the filter in a holder and count at two flows",
		Source:  reference.Source{Title: "Cho et al. 2013, J Occup Environ Hyg 10:109", Section: "abstract: 0-0.11 measured in cyclic flow; fitted media 0.3-0.56", State: reference.Read},
	}.ends(p.empirical(Empirical{central.R, lowM}, v.usual, v), p.empirical(central, v.usual, v), p.empirical(Empirical{central.R, highM}, v.usual, v))
}

func (p *physical) ofMethod() Assumption {
	v := everything(p.set)
	return Assumption{Name: "method", InBand: true, Values: "empirical scaling (central); generic media (guard of the low side)",
		Settles: "clamp the filter in a holder: a run at the breathing flow replaces both",
		Source:  ownRule("the physical method came out pessimistic against published ratios"),
	}.ends(p.centre(), median(p.values(v.usual, v.rooms, own)))
}

// Narrowing is the unknown input that would narrow a band most.
type Narrowing struct {
	Input   string  `json:"input"`
	Settles string  `json:"settles"`
	Width   float64 `json:"width"`    // high / low of the band now
	WidthTo float64 `json:"width_to"` // high / low with the input known to be its usual value
}

// narrowing tries each unknown input that enters the band at its usual value. It is
// nil when the measurement left none open.
func (p *physical) narrowing(now Span) *Narrowing {
	var best *Narrowing
	try := func(a Assumption, v view) {
		s := p.span(v)
		n := Narrowing{a.Name, a.Settles, now.High / now.Low, s.High / s.Low}
		if !a.Known && n.WidthTo < n.Width && (best == nil || n.WidthTo < best.WidthTo) {
			best = &n
		}
	}
	v := everything(p.set)
	v.slow, v.fast = v.usual, v.usual
	try(p.ofVentilation(), v)
	if len(p.set.rooms) > 1 {
		v = everything(p.set)
		v.rooms = v.rooms[1:2]
		if p.set.roomKnown {
			v.rooms = []int{0}
		}
		try(p.ofRoom(), v)
	}
	return best
}

// caveats are what must be read beside a band.
func caveats(limit ClassLimit, s setting, b Band) []string {
	out := []string{
		"a range over assumptions for a perfectly sealed filter that only just meets the class; most filters of a class are better than its minimum",
		"a class test weighs a salt or oil aerosol by mass or light at a constant high flow; a counter counts room particles at breathing flow: neither is the other",
	}
	if !s.known {
		out = append(out, fmt.Sprintf("ventilation not given: calm breathing of %d-%d L/min is assumed; over %d-%d L/min the thresholds are %.2g and %.3g",
			CalmLow, CalmHigh, AnyLow, AnyHigh, b.AnyBreathing.HardToReconcileBelow, b.AnyBreathing.BetterThanClassMinimumAbove))
	}
	if s.sampling == Inhaled {
		out = append(out, "a sample over the whole breath reads higher, since lungs keep particles; the band is without it")
	}
	if s.kind == Optical {
		out = append(out, "no size ratio is published for an optical counter: that of all particles is carried over with generic media (computed)")
		if b.FitFactor.High > ownParticles {
			out = append(out, fmt.Sprintf("above about %d an optical counter may read the wearer's own particles: read a result as at least; nothing is hard to reconcile for falling short of more", ownParticles))
		}
	}
	for _, st := range limit.States() {
		if st == reference.FromMemory {
			return append(out, "part of the class's test is from memory, not read in the standard")
		}
	}
	return out
}
