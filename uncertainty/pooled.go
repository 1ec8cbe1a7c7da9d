package uncertainty

import (
	"fmt"
	"math"
)

const (
	assumePool  = "wearings scatter log-normally and independently; a bound stands for its wearing at the bound"
	allBounds   = "every wearing is only a bound: the weakest of them is given, and says nothing of further wearings"
	mixedBounds = "some wearings are bounded below and others above: no figure covers both"
)

// RepeatsWithBounds pools Estimates of single wearings, of which some may be
// bounds, into the geometric mean over wearings. The rule, which errs to the safe
// side:
//
//  1. Only two-sided wearings: as Repeats, the standard error of each log taken
//     from the wider half of its interval.
//  2. Any "at least" (and no "at most"): the result is "at least". Each bound
//     enters as if the wearing had that value. Such a value is no more than the
//     wearing's own, so the mean of what enters is no more than the mean wanted,
//     and the one-sided lower t limit of the former holds for the latter. The
//     upper end and the value would not hold and are not given.
//  3. Any "at most" (and no "at least"): the mirror image.
//  4. Both kinds: Unknown. All wearings bounds: the weakest bound.
//  5. Wearings without a figure (Unknown) cannot enter; the result counts them in
//     a caveat.
//
// The level attained is the least of those asked and those of the bounds.
func RepeatsWithBounds(wearings []Estimate, level float64) Estimate {
	p := sortPool(wearings)
	e := p.pool(level)
	if p.left > 0 {
		e = e.With(fmt.Sprintf("%d of %d wearings gave no figure and are left out", p.left, len(wearings)))
	}
	return e
}

// pooledWearings are wearings sorted by what is known of them.
type pooledWearings struct {
	values       []LogValue // two-sided ones, then bounds at their bound
	below, above int        // bounds "at least" and "at most"
	left         int
	weakest      float64 // least level of the bounds
}

func sortPool(wearings []Estimate) pooledWearings {
	p := pooledWearings{weakest: 1}
	for _, w := range wearings {
		v, ok := logValueOf(w)
		switch {
		case !ok:
			p.left++
			continue
		case w.Kind == AtLeast:
			p.below++
			p.weakest = math.Min(p.weakest, w.Level)
		case w.Kind == AtMost:
			p.above++
			p.weakest = math.Min(p.weakest, w.Level)
		}
		p.values = append(p.values, v)
	}
	return p
}

// logValueOf is an Estimate as the logarithm of a wearing; the error of a
// two-sided one is the wider half of its interval over the normal quantile.
func logValueOf(e Estimate) (LogValue, bool) {
	positive := func(x float64) bool { return x > 0 && !math.IsInf(x, 1) }
	switch {
	case e.Kind == Interval && positive(e.Value) && positive(e.Low) && positive(e.High) && e.Level > 0 && e.Level < 1:
		half := math.Max(math.Log(e.High/e.Value), math.Log(e.Value/e.Low))
		return LogValue{math.Log(e.Value), math.Max(0, half) / -normalQuantile((1-e.Level)/2)}, true
	case e.Kind == AtLeast && positive(e.Low):
		return LogValue{Ln: math.Log(e.Low)}, true
	case e.Kind == AtMost && positive(e.High):
		return LogValue{Ln: math.Log(e.High)}, true
	}
	return LogValue{}, false
}

func (p pooledWearings) pool(level float64) Estimate {
	bounds := p.below + p.above
	switch {
	case len(p.values) == 0:
		return NewUnknown(level, assumePool, "no wearing gave a figure")
	case bounds == 0:
		return Repeats(p.values, level)
	case p.below > 0 && p.above > 0:
		return NewUnknown(level, assumePool, mixedBounds)
	}
	sign, give := -1.0, NewAtLeast
	if p.above > 0 {
		sign, give = 1.0, NewAtMost
	}
	level = math.Min(level, p.weakest)
	if bounds == len(p.values) {
		return give(math.Exp(p.extreme(sign)), level, assumePool, allBounds)
	}
	half, caveats := sampleOf(p.values).halfWidth(1 - level)
	return give(math.Exp(sampleOf(p.values).mean+sign*half), level, assumePool, caveats...).
		With(fmt.Sprintf("%d of %d wearings are bounds", bounds, len(p.values)))
}

// extreme is the weakest bound: the least "at least" or the greatest "at most".
func (p pooledWearings) extreme(sign float64) float64 {
	out := p.values[0].Ln
	for _, v := range p.values {
		if sign*v.Ln > sign*out {
			out = v.Ln
		}
	}
	return out
}
