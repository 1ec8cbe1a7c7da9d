package simulate

import (
	"math"

	"telltale/quantity"
)

// Truth is what no counter shows: what a run would show in the long run, with
// perfect counters, if the same wearing with the same exercises went on for ever.
type Truth struct {
	Exercises []ExerciseTruth `json:"exercises"` // in the order done; one nameless row for a run without exercises

	// FitFactor is the harmonic mean over the counted exercises: the figure that
	// an interval of this wearing should cover. It is of the whole breath, as a
	// probe samples it, so what the lung keeps makes it higher than what is inhaled.
	FitFactor float64 `json:"fit_factor"`
	// SealedFitFactor is the same if nothing leaked.
	SealedFitFactor float64 `json:"sealed_fit_factor"`
	// FilterPenetration is that of the medium in use, weighted by the inhaled
	// flow, mean of the counted exercises.
	FilterPenetration float64 `json:"filter_penetration"`
	// Leaks are the shares of the inhaled air that go past the filter, by zone,
	// mean of the counted exercises.
	Leaks Zones `json:"leaks"`
	// SealShare is the share of the particles inside that came through leaks, and
	// ZoneShares are its parts; 0-1.
	SealShare  float64 `json:"seal_share"`
	ZoneShares Zones   `json:"zone_shares"`
}

// ExerciseTruth is the truth of one exercise.
type ExerciseTruth struct {
	Name              string  `json:"name"`
	Counted           bool    `json:"counted"`
	FitFactor         float64 `json:"fit_factor"`
	FilterPenetration float64 `json:"filter_penetration"`
	Leak              float64 `json:"leak"` // share of the inhaled air, mean
	SealShare         float64 `json:"seal_share"`

	sealed float64 // penetration if nothing leaked
}

// truth works out the long run. The air inside is linear in the leak, so its mean
// is that of a breath repeated for ever with the mean leak (exact as long as the
// leak never reaches the whole of the flow).
func (s Setup) truth(leaks Zones) Truth {
	var out Truth
	if len(s.Protocol.Exercises) == 0 {
		out.Exercises = []ExerciseTruth{s.exercise("", true, leaks)}
	}
	for _, e := range s.Protocol.Exercises {
		out.Exercises = append(out.Exercises, s.exercise(e.Name, e.Counted, leaks))
	}
	var n, total, sealed, leaked, share float64
	for _, e := range out.Exercises {
		if !e.Counted {
			continue
		}
		n++
		total += 1 / e.FitFactor
		sealed += e.sealed
		leaked += e.SealShare / e.FitFactor
		out.FilterPenetration += e.FilterPenetration
		share += e.Leak
	}
	out.FitFactor, out.SealedFitFactor = n/total, n/sealed
	out.FilterPenetration /= n
	out.SealShare = leaked / total
	if sum := leaks.Sum(); sum > 0 {
		out.Leaks = leaks.scaled(share / n / sum)
		out.ZoneShares = leaks.scaled(out.SealShare / sum)
	}
	return out
}

func (s Setup) exercise(name string, counted bool, leaks Zones) ExerciseTruth {
	e := s.Person.effort(name)
	leak := min(1, leaks.Sum()*e.Leak)
	blind := s.Mask
	blind.Filter = 0
	all := s.steady(s.Mask, e, leak)
	return ExerciseTruth{Name: name, Counted: counted, FitFactor: 1 / all, Leak: leak,
		SealShare:         s.steady(blind, e, leak) / all,
		FilterPenetration: s.medium(e),
		sealed:            s.steady(s.Mask, e, 0)}
}

// steady is the mean over a breath of inside over room, all sizes together, once
// every breath is like the last.
func (s Setup) steady(m Mask, e Effort, leak float64) float64 {
	const warm, kept = 10, 4 // breaths
	bins := s.Room.bins()
	f := newFace(m, s.Person, bins)
	steps := int(math.Ceil(e.CycleS/subStep - 1e-9))
	inside, room := 0.0, 0.0
	for i := range (warm + kept) * steps {
		f.step(e.CycleS/float64(steps), e, leak, 1)
		if i >= warm*steps {
			for _, v := range f.air {
				inside += v
			}
		}
	}
	for _, b := range bins {
		room += b.Share
	}
	return inside / (room * float64(kept*steps))
}

// medium is the penetration of the medium over the inhalations, weighted by flow
// and by size.
func (s Setup) medium(e Effort) float64 {
	const n = 200
	f := newFace(s.Mask, s.Person, s.Room.bins())
	sum, weight := 0.0, 0.0
	for i := range n {
		q := f.flow(e, e.InhaleShare*(float64(i)+0.5)/n)
		for _, b := range f.bins {
			sum += b.Share * q * s.Mask.Through(quantity.Flow(q), b.Response)
			weight += b.Share * q
		}
	}
	return sum / weight
}
