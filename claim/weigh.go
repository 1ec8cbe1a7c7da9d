package claim

import (
	"fmt"
	"math"
	"strings"

	"telltale/medium"
	"telltale/quantity"
	"telltale/reference"
	"telltale/uncertainty"
)

// Sizes of the rules, micrometres (own rule). From lightLike up an optical counter
// weighs nearly as the light or the mass of a class test does; from coarseFrom up a
// leak lets in as much as of smaller particles and a fibrous filter much less
// (own rule on published size responses).
const (
	lightLike  quantity.Diameter = 0.3
	coarseFrom quantity.Diameter = 0.5
)

// like reports whether a counter weighs nearly as a class test does.
func (c Counter) like() bool { return c.Kind == medium.Optical && c.Smallest >= lightLike }

// band finds what is expected of the counter.
func (e Evidence) band(c Counter) (medium.Band, bool) {
	for _, b := range e.Bands {
		if b.Counter == c.Kind && b.HardToReconcileBelow > 0 {
			return b, true
		}
	}
	return medium.Band{}, false
}

// figures sorts the evidence into figures that can be weighed and reasons why the
// others cannot.
func (e Evidence) figures() (out []figure, unused []string) {
	take := func(f figure, why string) {
		band, found := e.band(f.Counter)
		switch {
		case why != "":
		case !f.InOrder:
			why = orElse(f.Open, "a gate is open")
		case f.ff.Kind == uncertainty.Unknown || f.ff.Kind == "":
			why = "it has no figure"
		case !found:
			why = "no band is expected for its kind of counter"
		}
		if why != "" {
			unused = append(unused, fmt.Sprintf("%s is not weighed: %s", f.name, why))
			return
		}
		f.band = band
		out = append(out, f)
	}
	for _, s := range e.Sealed {
		take(e.wearing(s))
	}
	for _, h := range e.Holders {
		take(e.holder(h))
	}
	for i := range out {
		out[i].lacks = append(out[i].lacks, e.lacking(out[i])...)
	}
	return out, unused
}

func orElse(words, otherwise string) string {
	if words != "" {
		return words
	}
	return otherwise
}

// wearing makes a figure of a sealed wearing.
func (e Evidence) wearing(s Sealed) (f figure, why string) {
	sealed, words := SealedConfiguration(s.Repairs)
	f = figure{Circumstances: s.Circumstances, ff: s.FitFactor, firm: s.Demonstrated,
		name: fmt.Sprintf("the wearing%s (%s%s)", named(s.ID), words, s.where())}
	if !sealed {
		return f, "it was not sealed all round, and a respirator as worn says nothing against its class"
	}
	if f.firm && leaky(s.Channels) {
		f.firm = false
		f.notes = append(f.notes, "its coarse particles are not shown to be held back more than its fine ones, as a filter would: the seal is not ruled out")
	}
	switch {
	case !f.firm:
		f.lacks = append(f.lacks, "a demonstration that the seal is not the cause: a further repair that adds nothing and exercises that agree, or the filter alone in a holder")
	case s.Shown != "":
		f.notes = append(f.notes, s.Shown)
	}
	if !s.Counter.like() {
		f.lacks = append(f.lacks, "particles from 0.3 um up by an optical counter, or the filter alone in a holder: a condensation counter weighs small particles that the class test hardly weighs")
	}
	if !(most(s.FitFactor)*e.Class.LimitPenetration < 1) {
		f.lacks = append(f.lacks, "a penetration above the class's limit by more than its uncertainty")
	}
	return f, ""
}

// holder makes a figure of a run of the filter alone.
func (e Evidence) holder(h Holder) (f figure, why string) {
	f = figure{Circumstances: h.Circumstances, ff: h.Reading.Sealed, firm: true, holder: true,
		name: fmt.Sprintf("the filter alone%s (holder%s), carried to a breath,", named(h.ID), h.where())}
	if h.Reading.Noise {
		return f, "more was counted after the filter than before: noise, or a leak at the clamp"
	}
	if !(h.WholeFlow > 0) || h.WholeFlow > e.Class.TestFlowLMin {
		f.lacks = append(f.lacks, "a holder run at or below the class's test flow")
	}
	bar, words := e.Class.LimitPenetration, "the class's limit"
	if !h.Counter.like() {
		bar, words = math.Pow(bar, worstPublished()), "what published filters let through at their worst size, scaled to this limit"
	}
	if !(least(h.Reading.Measured) > bar) {
		f.lacks = append(f.lacks, fmt.Sprintf("a penetration in the holder above %s (%s %%) by more than its uncertainty", words, uncertainty.Number(100*bar)))
	}
	return f, ""
}

// lacking is what any figure needs beside its own kind's demands.
func (e Evidence) lacking(f figure) (out []string) {
	if !f.Reference {
		out = append(out, "the reference respirator in control on the same counter the same day")
	}
	if !f.holder && !f.band.VentilationKnown && f.band.AnyBreathing.HardToReconcileBelow > 0 && !(most(f.ff) < f.band.AnyBreathing.HardToReconcileBelow) {
		out = append(out, fmt.Sprintf("the wearer's ventilation, or a figure below %s as well, which allows for 10-40 L/min", uncertainty.Number(f.band.AnyBreathing.HardToReconcileBelow)))
	}
	return out
}

// leaky reports whether the coarsest size channel is not shown to lie below the
// finest. A filter holds coarse particles back better, a leak does not; an open
// cloth looks like a leak here, and then only a holder tells.
func leaky(channels []Channel) bool {
	if len(channels) < 2 {
		return false
	}
	fine, coarse := channels[0], channels[0]
	for _, c := range channels[1:] {
		if c.Low < fine.Low {
			fine = c
		}
		if c.Low > coarse.Low {
			coarse = c
		}
	}
	return coarse.Low >= coarseFrom && coarse.Low > fine.Low && !(most(coarse.Penetration) < least(fine.Penetration))
}

// worstPublished is the least ratio ln P / ln limit that published filters of a
// class showed at their most penetrating size: how far a filter that meets its
// class was seen to let small particles through. A counter of all particles weighs
// those sizes, so this is how far its holder runs must lie above a limit.
func worstPublished() float64 {
	least := 1.0
	for _, p := range medium.PublishedPenetrations() {
		word, _, _ := strings.Cut(p.Device, " ")
		class, err := reference.ClassByName(word)
		if err == nil && strings.HasPrefix(p.Condition, "most penetrating size") && class.LimitPenetration > 0 {
			least = min(least, math.Log(p.High)/math.Log(class.LimitPenetration))
		}
	}
	return least
}

// where words specimen and day.
func (c Circumstances) where() string {
	out := ""
	if c.Specimen != "" {
		out += ", specimen " + c.Specimen
	}
	if c.Day != "" {
		out += ", " + c.Day
	}
	return out
}

func named(id string) string {
	if id == "" {
		return ""
	}
	return " " + id
}
