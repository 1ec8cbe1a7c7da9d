package fitfactor

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"telltale/quantity"
	"telltale/record"
	"telltale/uncertainty"
)

// Channel is the figure of one size channel, kept apart from the headline.
type Channel struct {
	Low, High    quantity.Diameter // High 0 = all above Low
	FitFactor    uncertainty.Estimate
	InsideCounts float64
	Exercises    []Exercise
}

// channels computes each size channel like a trace of its own.
func channels(r *Result, t *record.Trace, s Settings) error {
	for i, c := range t.Channels {
		if !anyNumber(c.Ambient) || !anyNumber(c.Inside) {
			continue
		}
		sub := *t
		sub.Ambient, sub.Inside, sub.Channels, sub.Overload = c.Ambient, c.Inside, nil, overloadsOf(t, i)
		own := s
		own.ZeroAmbient, own.ZeroInside = channelZero(s.ZeroAmbient, c), channelZero(s.ZeroInside, c)
		one, err := figures(&sub, own)
		if err != nil {
			return err
		}
		r.Channels = append(r.Channels, Channel{c.Low, c.High, one.FitFactor, one.InsideCounts, one.Exercises})
	}
	if n := len(r.Channels); n > 0 {
		r.step("sizes", "%d size channels, each computed by itself by the same steps.", n)
	}
	return nil
}

// overloadsOf gives the overloads of the channels with the given indices, as if
// they stood in the air columns.
func overloadsOf(t *record.Trace, indices ...int) (out []record.Overload) {
	for _, o := range t.Overload {
		if slices.Contains(indices, o.Channel-1) {
			o.Channel = 0
			out = append(out, o)
		}
	}
	return out
}

// channelZero gives the same channel of a zero check, nil where it has none.
func channelZero(t *record.Trace, c record.Channel) *record.Trace {
	if t == nil {
		return nil
	}
	for _, z := range t.Channels {
		if z.Low == c.Low && z.High == c.High {
			sub := *t
			sub.Ambient, sub.Inside, sub.Channels = z.Ambient, z.Inside, nil
			return &sub
		}
	}
	return nil
}

// headline gives the trace whose air columns carry the headline. With size
// channels only that is their sum: the widest cumulative channel, or the sum of
// the differential ones; the note names the sizes.
func headline(t *record.Trace) (*record.Trace, string) {
	if len(t.Channels) == 0 || anyNumber(t.Ambient) || anyNumber(t.Inside) {
		return t, ""
	}
	indices := summed(t.Channels)
	var chosen []record.Channel
	for _, i := range indices {
		chosen = append(chosen, t.Channels[i])
	}
	sub := *t
	sub.Overload = overloadsOf(t, indices...)
	sub.Ambient, sub.Inside = sum(chosen, record.Ambient, t.Rows()), sum(chosen, record.Inside, t.Rows())
	var names []string
	for _, c := range chosen {
		names = append(names, sizes(c))
	}
	return &sub, "The headline is of the sizes " + strings.Join(names, ", ") + " together."
}

// summed picks, by index, the channels that add up without counting a particle
// twice: the widest cumulative one and the differential ones below it.
func summed(all []record.Channel) []int {
	widest := -1
	for i, c := range all {
		if c.High == 0 && (widest < 0 || c.Low < all[widest].Low) {
			widest = i
		}
	}
	var kept []int
	for i, c := range all {
		if i == widest || c.High > 0 && (widest < 0 || c.High <= all[widest].Low) {
			kept = append(kept, i)
		}
	}
	return kept
}

// sum adds the channels row by row; a row in which one is missing is missing.
func sum(all []record.Channel, air record.Air, rows int) []float64 {
	out := make([]float64, rows)
	for _, c := range all {
		values := c.Ambient
		if air == record.Inside {
			values = c.Inside
		}
		for i := range out {
			if values == nil {
				out[i] = math.NaN()
				continue
			}
			out[i] += values[i]
		}
	}
	return out
}

func sizes(c record.Channel) string {
	if c.High == 0 {
		return fmt.Sprintf("above %v um", float64(c.Low))
	}
	return fmt.Sprintf("%v to %v um", float64(c.Low), float64(c.High))
}
