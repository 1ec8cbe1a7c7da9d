// Package attribution answers: is the air going round the respirator or through
// it, and what would tell?
//
// The evidence is a ladder of repairs on one wearer: as worn, then a stiffer
// nose strip, tape, a brace. What gets in is the sum of what the filter lets
// through and of what leaks past the seal:
//
//	p = f + L exp(luck of the wearing + luck of the exercise)
//
// f is shared by all rungs, L is each rung's own median leak, the two lucks are
// normal with scatters that all rungs share. Counts inside are binomial given
// the total of both counters, so the level of the room drops out. A leak moves
// with the head and with the putting-on, a filter does not: that scatter is all
// the ladder itself holds to tell them apart. A run of the filter alone in a
// holder tells more.
//
// It assumes that the filter is the same in all rungs (tape does not cover it),
// that leaks scatter log-normally, and that particles lost in the airways are
// lost for filter and leak alike: a constant factor cannot be seen. Priors are
// named in the result and varied; the result says how much of it is prior.
//
// It refuses to split what nothing separates: then the filter has only an upper
// bound, and Separable is false with the reason. Felt leaks and collapse on
// inhalation are notes and never enter.
package attribution
