package medium

import (
	"fmt"
	"math"
	"slices"

	"telltale/aerosol"
	"telltale/fault"
	"telltale/reference"
)

// physical is the physical method made ready for one class and one setting: the
// conditioned media and the airs, with penetrations over a breath kept once found.
type physical struct {
	bench    bench
	limit    ClassLimit
	set      setting
	members  []member
	inhaled  []challenge // what the counter sees of each room
	reaches  []challenge // the same, times what the lungs leave of each size in the sample
	lungs    []float64   // by room, the factor by which they raise a fit factor
	standard []challenge // the three model rooms, for the room's shift
	kappa    float64     // ln P in the counter's channel over ln P of all particles
	waves    waves
	nodes    [][]curve          // by member and node
	seen     map[string][]curve // by breath and member
}

// curve is a member's penetration by size over one breath; nil until asked for.
type curve []float64

// weightings tried: the standard's own, mass and photometer guard the low side,
// number stands for the outermost corner.
var weightings = []reference.Weighting{own, reference.ByMass, reference.ByPhotometer, reference.ByNumber}

func newPhysical(limit ClassLimit, s setting) (*physical, error) {
	p := &physical{bench: newBench(benchSizes, usualArea), limit: limit, set: s, seen: map[string][]curve{},
		waves: newWaves(s.calmest, s.slow, s.usual, s.fast, s.hardest, s.mean, s.peak)}
	for _, by := range []reference.Weighting{reference.ByMass, reference.ByPhotometer, reference.ByNumber} {
		p.add(by)
	}
	p.addOwn()
	p.nodes = make([][]curve, len(p.members))
	for _, by := range weightings {
		if !slices.ContainsFunc(p.members, func(m member) bool { return m.weighting == by }) {
			return nil, noMember(limit)
		}
	}
	return p, p.setRooms()
}

// setRooms weighs the airs as the counter sees them.
func (p *physical) setRooms() (err error) {
	if p.inhaled, err = p.airs(p.set.rooms, p.set.counter); err != nil {
		return err
	}
	if p.standard, err = p.airs(aerosol.Rooms(), p.set.counter); err != nil {
		return err
	}
	for i, room := range p.set.rooms {
		inflation := 1.0
		if p.set.sampling == WholeBreath {
			inflation = aerosol.WholeBreath().Inflation(aerosol.MeanDeposition(room.Sizes, p.set.counter))
		}
		p.lungs = append(p.lungs, inflation)
		p.reaches = append(p.reaches, p.sampled(p.inhaled[i]))
	}
	return p.setChannel()
}

// airs are the rooms as the counter sees them. A room in which it sees nothing is
// refused.
func (p *physical) airs(rooms []aerosol.Room, c aerosol.Counter) ([]challenge, error) {
	var out []challenge
	for _, room := range rooms {
		a, seen := p.bench.grid.Weights(room.Sizes, c)
		if !(seen > 0) {
			return nil, &fault.Fault{Code: "E730", What: fmt.Sprintf("the counter sees none of the particles of the room air %q", room.Name),
				Do: "Give a counter or a size distribution that overlap between 0.005 and 5 um."}
		}
		out = append(out, a)
	}
	return out, nil
}

// setChannel finds kappa: 1 for a condensation counter.
func (p *physical) setChannel() error {
	p.kappa = 1
	if p.set.kind == Condensation {
		return nil
	}
	all, err := p.airs(p.set.rooms, aerosol.Logistic{D50: 0.02, Width: aerosol.CondensationWidth})
	if err != nil {
		return err
	}
	p.kappa = p.meanLog(p.set.usual, p.inhaled) / p.meanLog(p.set.usual, all)
	return nil
}

// add conditions the media under one weighting, for each reading of the aerosol.
func (p *physical) add(by reference.Weighting) {
	for reading := range p.limit.readings() {
		p.members = append(p.members, p.bench.family(p.limit, by, reading, allMedia)...)
	}
}

// addOwn adds the media under the standard's own weighting: where all its agents
// share one, they are those of that weighting.
func (p *physical) addOwn() {
	by := p.limit.Agents[0].Weighting
	for _, a := range p.limit.Agents {
		if a.Weighting != by {
			p.add(own)
			return
		}
	}
	for i, m := range p.members {
		if m.weighting == by {
			m.weighting, m.same = own, i+1
			p.members = append(p.members, m)
		}
	}
}

// sampled is an air times the share that the in-mask sample shows of each size: all of
// it on inhalation, less over the whole breath.
func (p *physical) sampled(air challenge) challenge {
	out := slices.Clone(air)
	if p.set.sampling == WholeBreath {
		for i, d := range p.bench.grid.Sizes() {
			out[i] *= aerosol.WholeBreath().Seen(aerosol.LungDeposition(d))
		}
	}
	return out
}

// curve gives the penetration of a member over a breath. A member that is the same
// medium under another weighting's name shares it.
func (p *physical) curve(b Breathing, i int) curve {
	if same := p.members[i].same; same > 0 {
		i = same - 1
	}
	have, ok := p.seen[b.Words]
	if !ok {
		have = make([]curve, len(p.members))
		p.seen[b.Words] = have
	}
	if have[i] == nil {
		have[i] = make(curve, len(p.bench.grid.Sizes()))
		for k, w := range p.waves.weights(b) {
			for j, v := range p.atNode(i, k) {
				have[i][j] += w * v
			}
		}
	}
	return have[i]
}

// atNode is a member's penetration at one node of the waves.
func (p *physical) atNode(i, k int) curve {
	if p.nodes[i] == nil {
		p.nodes[i] = make([]curve, len(p.waves.nodes))
	}
	if p.nodes[i][k] == nil {
		c := make(curve, len(p.bench.grid.Sizes()))
		m := p.members[i]
		m.kernel.penetration(c, max(face(p.waves.nodes[k], p.bench.area), 1e-4), m.charge)
		p.nodes[i][k] = c
	}
	return p.nodes[i][k]
}

// values are the fit factors, rising, of the members of some weightings in some
// rooms.
func (p *physical) values(b Breathing, rooms []int, by ...reference.Weighting) []float64 {
	return p.choose(b, rooms, func(m member) bool {
		return slices.Contains(by, m.weighting)
	})
}

// choose are the fit factors, rising, of the chosen members in some rooms.
func (p *physical) choose(b Breathing, rooms []int, want func(member) bool) []float64 {
	var out []float64
	for i, m := range p.members {
		if !want(m) {
			continue
		}
		for _, r := range rooms {
			out = append(out, 1/p.reaches[r].passing(p.curve(b, i)))
		}
	}
	slices.Sort(out)
	return out
}

// least is the guard: the lowest fit factor with any weighting but by number.
func (p *physical) least(b Breathing, rooms []int) float64 {
	return p.values(b, rooms, own, reference.ByMass, reference.ByPhotometer)[0]
}

// roomShift is how far the known airs lie from the mean of the three models, as a
// factor: 1 when the room is not known.
func (p *physical) roomShift(v view) float64 {
	if !p.set.roomKnown && len(v.rooms) > 1 {
		return 1
	}
	var chosen []challenge
	for _, r := range v.rooms {
		chosen = append(chosen, p.inhaled[r])
	}
	return math.Exp(p.meanLog(v.usual, chosen) - p.meanLog(v.usual, p.standard))
}

// meanLog is the mean log fit factor of the members with the standard's own
// weighting over some airs.
func (p *physical) meanLog(b Breathing, airs []challenge) float64 {
	sum, n := 0.0, 0.0
	for i, m := range p.members {
		if m.weighting != own {
			continue
		}
		for _, a := range airs {
			sum -= math.Log(a.passing(p.curve(b, i)))
			n++
		}
	}
	return sum / n
}

// roomMoves are the factors by which the lowest and the highest of the open rooms
// lie from their mean.
func (p *physical) roomMoves(v view) (low, high float64) {
	low, high = 1, 1
	var all []challenge
	for _, r := range v.rooms {
		all = append(all, p.reaches[r])
	}
	mean := p.meanLog(v.usual, all)
	for _, a := range all {
		f := math.Exp(p.meanLog(v.usual, []challenge{a}) - mean)
		low, high = min(low, f), max(high, f)
	}
	return low, high
}

// thresholds are the least and most fit factor over all corners of a view.
func (p *physical) thresholds(v view) Thresholds {
	top := p.values(v.slow, v.rooms, weightings...)
	least, _ := p.empiricalEnds(v.fast)
	_, most := p.empiricalEnds(v.slow)
	lungs, shift := p.inflation(v), p.roomShift(v)
	t := Thresholds{
		HardToReconcileBelow:        min(p.least(v.fast, v.rooms), least*lungs*min(1, shift)),
		BetterThanClassMinimumAbove: max(top[len(top)-1], most*lungs*max(1, shift)),
	}
	if p.set.kind == Optical {
		t.HardToReconcileBelow = min(t.HardToReconcileBelow, ownParticles)
	}
	return t
}

// ownParticles is the fit factor above which an optical counter may read the wearer's
// own particles, 0.1-1 per cm3 in breathing and most of them over 0.3 um, rather than
// the filter (from memory). Nothing is hard to reconcile for falling short of more.
const ownParticles = 1000

// methods are the two methods' own ends.
func (p *physical) methods(v view) Methods {
	usual := p.values(v.usual, v.rooms, own)
	slow := p.values(v.slow, v.rooms, own, reference.ByMass, reference.ByPhotometer)
	low, _ := p.empiricalEnds(v.fast)
	_, high := p.empiricalEnds(v.slow)
	f := p.inflation(v)
	return Methods{
		Empirical: Span{low * f, p.channel(central).FitFactor(p.limit, v.usual) * f, high * f},
		Physical:  Span{p.least(v.fast, v.rooms), median(usual), slow[len(slow)-1]},
	}
}

// median of rising values.
func median(v []float64) float64 {
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return (v[n/2-1] + v[n/2]) / 2
}
