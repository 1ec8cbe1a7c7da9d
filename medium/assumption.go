package medium

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"telltale/aerosol"
	"telltale/quantity"
	"telltale/reference"
)

// Assumption is one thing a band rests on, with the fit factors that its values
// give while all else stays at its central value.
type Assumption struct {
	Name    string           `json:"name"`
	Values  string           `json:"values"`
	Low     float64          `json:"low"`
	High    float64          `json:"high"`
	Factor  float64          `json:"factor"`  // high / low
	Known   bool             `json:"known"`   // given by the measurement, not assumed
	InBand  bool             `json:"in_band"` // moves low, central or high, not only a threshold
	Settles string           `json:"settles"` // the measurement that would settle it
	Source  reference.Source `json:"source"`
}

// assumptions are all of them, the largest mover first.
func (p *physical) assumptions() []Assumption {
	rows := []Assumption{
		p.ofVentilation(), p.ofWaveform(), p.ofRoom(), p.ofCutOff(), p.ofLungs(), p.ofWeighting(), p.ofReading(), p.ofMedium(), p.ofArea(),
		p.ofSizeRatio(), p.ofExponent(), p.ofMethod(),
	}
	for i := range rows {
		rows[i].Factor = rows[i].High / rows[i].Low
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].Factor > rows[j].Factor })
	return rows
}

// ownRule is a choice of this program.
func ownRule(section string) reference.Source {
	return reference.Source{Title: "expected band, rule " + Rule, Section: section, State: reference.Own}
}

// centre is the central fit factor with everything left open.
func (p *physical) centre() float64 { return p.span(everything(p.set)).Central }

// ends makes the row's low and high from some fit factors.
func (a Assumption) ends(ff ...float64) Assumption {
	a.Low, a.High = math.Inf(1), 0
	for _, v := range ff {
		a.Low, a.High = min(a.Low, v), max(a.High, v)
	}
	return a
}

// at is the central fit factor at a breathing.
func (p *physical) at(b Breathing) float64 {
	return p.empirical(central, b, everything(p.set))
}

func (p *physical) ofVentilation() Assumption {
	a := Assumption{Name: "ventilation", Known: p.set.known, InBand: true,
		Settles: "measure or pace the wearer's breathing (minute ventilation in L/min)",
		Values:  fmt.Sprintf("%d-%d L/min shown, %d-%d assumed, central %d", AnyLow, AnyHigh, CalmLow, CalmHigh, CalmUsual),
		Source:  reference.Source{Title: "ICRP 89, reference breathing rates", Section: "sitting 9, light exercise 25 L/min; range is an own choice", State: reference.Read}}
	if a.Known {
		a.Values = p.set.usual.Words + ", as given"
	}
	return a.ends(p.at(p.set.calmest), p.at(p.set.hardest), p.at(p.set.usual))
}

// ofWaveform compares the sinusoid with the constant flows that published work finds
// to bracket cyclic penetration: the mean and the peak of inhalation.
func (p *physical) ofWaveform() Assumption {
	return Assumption{Name: "shape of the breath", Values: "sinusoid; constant at the mean and at the peak of inhalation",
		Settles: "record the breathing flow",
		Source:  reference.Source{Title: "Eshbaugh et al. 2009, N95 and P100 at constant and cyclic flow", Section: "abstract", State: reference.Read},
	}.ends(p.at(p.set.usual), p.at(p.set.mean), p.at(p.set.peak))
}

func (p *physical) ofRoom() Assumption {
	v, mid := everything(p.set), p.centre()
	low, high := p.roomMoves(v)
	var names []string
	for _, r := range p.set.rooms {
		names = append(names, r.Name)
	}
	return Assumption{Name: "room air", Known: p.set.roomKnown, InBand: true, Values: strings.Join(names, " | "),
		Settles: "count the room above 0.02 um and above 0.3 um, or measure its size distribution",
		Source:  ownRule("model airs: " + p.set.rooms[0].Basis)}.ends(mid*low, mid*high)
}

// relative scales the centre by fit factors of the physical method over that of the
// first.
func (p *physical) relative(first float64, others ...float64) []float64 {
	mid := p.centre()
	out := []float64{mid}
	for _, o := range others {
		out = append(out, mid*o/first)
	}
	return out
}

func (p *physical) ofCutOff() Assumption {
	other, values := quantity.Diameter(0.01), "half seen at 0.02 um; at 0.01"
	if p.set.kind == Optical {
		other, values = 0.5, "half seen at 0.3 um; at 0.5"
	}
	if p.set.smallestKnown {
		other, values = p.set.counter.D50, fmt.Sprintf("half seen at %.3g um, as given", float64(p.set.counter.D50))
	}
	v := everything(p.set)
	there, err := p.airs(p.set.rooms, aerosol.Logistic{D50: other, Width: p.set.counter.Width})
	if err != nil {
		there = p.inhaled // the other counter sees nothing here: nothing to compare
	}
	return Assumption{Name: "counter cut-off", Known: p.set.smallestKnown, Values: values, Settles: "name the size of which the counter sees half",
		Source: reference.Source{Title: "handheld comparison, Aerosol Sci Technol 38:487 (2004)", Section: "two alcohol counters, 10 and 20 nm, abstract", State: reference.Read},
	}.ends(p.relative(math.Exp(p.meanLog(v.usual, p.inhaled)), math.Exp(p.meanLog(v.usual, there)))...)
}

func (p *physical) ofLungs() Assumption {
	v, mid := everything(p.set), p.centre()
	most := 1.0
	for _, r := range v.rooms {
		most = max(most, aerosol.WholeBreath().Inflation(aerosol.MeanDeposition(p.set.rooms[r].Sizes, p.set.counter)))
	}
	a := Assumption{Name: "lungs in the sample", Known: p.set.sampling == WholeBreath, Settles: "say whether the sample was taken over the whole breath or on inhalation only",
		Values: "inhaled air only; sampled over the whole breath reads higher by up to the factor",
		Source: reference.Source{Title: "ICRP 66 deposition as a textbook fits it", Section: "coefficients", State: reference.FromMemory}}
	if a.Known {
		a.Values, a.InBand = "whole breath, as given; inhaled air only would read lower", true
		return a.ends(mid/most, mid)
	}
	return a.ends(mid, mid*most)
}

func (p *physical) ofWeighting() Assumption {
	v := everything(p.set)
	of := func(by reference.Weighting) float64 { return median(p.values(v.usual, v.rooms, by)) }
	var names []string
	for _, a := range p.limit.Agents {
		names = append(names, fmt.Sprintf("%s by %s", a.Name, a.Weighting))
	}
	return Assumption{Name: "weighting of the class test", Values: "the standard's own (" + strings.Join(names, ", ") + "); mass; photometer; number only in the upper threshold",
		Settles: "read in the standard what its detector adds up",
		Source:  p.limit.Agents[0].Source,
	}.ends(p.relative(of(own), of(reference.ByMass), of(reference.ByPhotometer), of(reference.ByNumber))...)
}

func (p *physical) ofReading() Assumption {
	v := everything(p.set)
	var ff []float64
	var words []string
	for i := range p.limit.readings() {
		ff = append(ff, median(p.choose(v.usual, v.rooms, func(m member) bool { return m.weighting == own && m.reading == i })))
		for _, a := range p.limit.Agents {
			if i < len(a.Readings) {
				words = append(words, a.Name+" "+a.Readings[i].Words)
			}
		}
	}
	return Assumption{Name: "size of the test aerosol", Values: strings.Join(words, " | "), Settles: "read the size rule in the standard's own text",
		Source: p.limit.Agents[len(p.limit.Agents)-1].Source,
	}.ends(p.relative(median(p.values(v.usual, v.rooms, own)), ff...)...)
}

func (p *physical) ofMedium() Assumption {
	v := everything(p.set)
	var ff []float64
	for g := range generics {
		if some := p.choose(v.usual, v.rooms, func(m member) bool { return m.weighting == own && m.generic == g }); len(some) > 0 {
			ff = append(ff, median(some))
		}
	}
	return Assumption{Name: "medium", Values: "fibres of 2, 3, 5 and 7 um, 40-80 Pa at 85 L/min", Settles: "measure the pressure drop and, on a cut piece, the fibre diameter",
		Source: reference.Source{Title: "Kim et al. 2015, pressure drops of study prototypes", Section: "29-88 Pa at 85 L/min; fibre diameters from memory", State: reference.Read},
	}.ends(p.relative(median(p.values(v.usual, v.rooms, own)), ff...)...)
}
