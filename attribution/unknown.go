package attribution

import (
	"math"
	"slices"
	"strings"
)

// usualFlows is what is believed of a breathing flow that was not recorded, by the
// exercise's name: a typical mean inspiratory flow relative to quiet breathing and
// the factor within which it lies in two cases of three (log-normal). Own rule,
// after adult ventilations (ICRP 89: 9 L/min sitting, 25 in light exercise,
// read; 45 L/min reading aloud against 55 without speech at one work rate, but
// peaks 1.6 times as high, an ergometer study, read). Talking counts by its peaks.
var usualFlows = []struct {
	word         string // in the exercise's name
	flow, within float64
}{
	{"normal", 1, 1.15},
	{"deep", 2.1, 1.5},
	{"head", 1.2, 1.25},
	{"bend", 1.25, 1.35},
	{"talk", 1.7, 1.7},
	{"jog", 2.5, 1.5},
}

// unnamedFlow stands for an exercise whose name says nothing.
const unnamedFlow, unnamedWithin = 1.3, 1.8

// usualFlow is the believed flow of an exercise and its log sd.
func usualFlow(name string) (flow, sd float64) {
	name = strings.ToLower(name)
	for _, u := range usualFlows {
		if strings.Contains(name, u.word) {
			return u.flow, math.Log(u.within)
		}
	}
	return unnamedFlow, math.Log(unnamedWithin)
}

// A filter lets through more at a higher flow. So a run whose exercises have no
// recorded flow says two things, which enter apart:
//
//   - its mean penetration, in which f is the filter at the run's mean use, whatever
//     the flows were; this is what wearings and rungs are compared by;
//   - by how much its exercises differ. Each is compared with what its believed flow
//     makes of filter and leak, and seen through what is not known of that flow: an
//     uncertainty on its penetration. It is the same for filter and leak, so that
//     runs alike, as they are when one person breathes alike, speak for neither.

// unknownUnits are the counts of a run without recorded flows: the mean of its
// exercises first, then each of them.
func (w *Wearing) unknownUnits() []unit {
	out := []unit{w.mean()}
	sum := 0.0
	for _, e := range w.Exercises {
		flow, _ := usualFlow(e.Name)
		sum += flow
	}
	for _, e := range w.Exercises {
		flow, sd := usualFlow(e.Name)
		flow *= float64(len(w.Exercises)) / sum
		if e.FlowFactor > 0 {
			flow, sd = e.FlowFactor, 0
		}
		u := newUnit(e.Ambient, e.Inside, e.Exposure, flow, w.Bound)
		u.blur(sd)
		out = append(out, u)
	}
	return out
}

// unknown reports whether a run of several exercises lacks a flow. A single
// exercise, and a capped run, is its own mean.
func (w *Wearing) unknown() bool {
	return len(w.Exercises) > 1 && slices.ContainsFunc(w.Exercises, func(e Exercise) bool { return e.FlowFactor == 0 })
}

// blur takes from the counts what an unknown flow, with this sd of its log, does to
// the log of a filter's penetration p: with -ln p going as flow^-m it is
// |ln p| times the sd of m ln(flow), where m is even over its band.
func (u *unit) blur(sd float64) {
	const band = (mostExponent - leastExponent) / middleExponent
	mu := math.Log(u.flow)
	p := math.Min((u.y+0.5)/(u.x*u.e), 1)
	s := math.Log(p) * middleExponent * math.Sqrt(sd*sd+band*band/12*(mu*mu+sd*sd))
	k := 1 + math.Max(u.y, 1)*s*s
	blurred := newUnit(u.x/k, u.y/k, u.e, u.flow, u.bound)
	*u = blurred
}

// unread is the ladder with such runs as wholes; false when it has none.
func (l *Ladder) unread() (Ladder, bool) {
	out, any := *l, false
	out.Rungs = slices.Clone(l.Rungs)
	for c := range out.Rungs {
		r := &out.Rungs[c]
		r.Wearings = slices.Clone(r.Wearings)
		for i := range r.Wearings {
			if w := &r.Wearings[i]; w.Bound == Measured && w.unknown() {
				u := w.mean()
				e := Exercise{Ambient: u.x, Inside: u.y, Exposure: u.e}
				if c := u.coarse; c != nil {
					e.Coarse = &Channel{c.x, c.y, c.e}
				}
				w.Exercises, any = []Exercise{e}, true
			}
		}
	}
	return out, any
}

// unreadName is the named view under which the exercises of such runs say nothing:
// how a leak goes with an exercise is not known either, and a steady one may go as
// a filter would.
const unreadName = "exercises unread"

// repeats is the factor within which the mean flow of such a run is taken to repeat
// from run to run (own rule): by as much does the mean of the usual eight move when
// every flow is drawn anew.
const repeats = 1.15

// mean is the mean penetration of a run's exercises, in counts that are worth what
// it is.
func (w *Wearing) mean() unit {
	pair := func(of func(e Exercise) (ambient, inside, exposure float64)) unit {
		var x, y, p, v, most float64
		for _, e := range w.Exercises {
			a, i, exposure := of(e)
			one := newUnit(a, i, exposure, 1, Measured)
			weight := 1 / (one.x * one.e * float64(len(w.Exercises)))
			p, v, most = p+one.y*weight, v+one.y*weight*weight, max(most, weight)
			x += one.x
		}
		weight := most // of a count, in penetration; with none counted, the largest
		if p > 0 {
			y, weight = p*p/v, v/p
		}
		return newUnit(x, y, 1/(x*weight), 1, w.Bound)
	}
	u := pair(func(e Exercise) (float64, float64, float64) { return e.Ambient, e.Inside, e.Exposure })
	u.blur(math.Log(repeats))
	u.whole = true
	if !slices.ContainsFunc(w.Exercises, func(e Exercise) bool { return e.Coarse == nil }) {
		c := pair(func(e Exercise) (float64, float64, float64) {
			return e.Coarse.Ambient, e.Coarse.Inside, e.Coarse.Exposure
		})
		u.coarse = &c
	}
	return u
}
