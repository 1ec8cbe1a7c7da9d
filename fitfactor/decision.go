package fitfactor

import (
	"fmt"
	"math"

	"telltale/reference"
	"telltale/uncertainty"
)

// Outcome is what a figure says about a limit.
type Outcome string

// The outcomes. Below the limit but within the uncertainty is "cannot decide",
// not a conditional fail: a reader takes fail as an accusation.
const (
	Pass            Outcome = "pass"
	ConditionalPass Outcome = "conditional_pass"
	CannotDecide    Outcome = "cannot_decide"
	Fail            Outcome = "fail"
)

// Verdict is a decision with its reason, the limit and where that comes from.
type Verdict struct {
	Outcome Outcome
	Reason  string
	Limit   reference.Limit
	Rule    reference.Rule
	Guard   uncertainty.Estimate // the interval the decision used: exact limits
	ILAC    string               // the same in the words of ILAC-G8: pass, conditional pass, conditional fail, fail
}

// DecisionRule names the rule: a guard band as wide as the expanded uncertainty,
// on the logarithm of the fit factor (ILAC-G8:09/2019, 4.2.3, read in an online
// copy). The limits are the exact two-sided ones, so a wrong pass at the limit has
// a chance of at most half of what lies outside the level.
const DecisionRule = "guard band w = U (ILAC-G8:09/2019 4.2.3), exact limits"

// decide judges the whole result by the protocol's rule.
func decide(r *Result, limit reference.Limit) Verdict {
	v := Verdict{Limit: limit, Rule: r.Protocol.Rule, Guard: r.Guard}
	if r.Protocol.Rule == reference.EveryExercise && len(r.Protocol.Exercises) > 0 {
		v.byExercise(r)
	} else {
		v.Outcome, v.ILAC, v.Reason = judge(r.Guard, limit.FitFactor)
	}
	if len(r.Missing) > 0 && !(v.Outcome == Fail && v.Rule == reference.EveryExercise) {
		v.Outcome, v.ILAC = CannotDecide, ""
		v.Reason = fmt.Sprintf("the protocol's %s is missing; without it there is no decision by protocol %s", r.Missing[0], r.Protocol.ID)
	}
	return v
}

// byExercise lets the weakest counted exercise decide.
func (v *Verdict) byExercise(r *Result) {
	order := map[Outcome]int{Fail: 0, CannotDecide: 1, ConditionalPass: 2, Pass: 3}
	worst, least := Pass, math.Inf(1)
	for _, x := range r.Exercises {
		if !x.Counted {
			continue
		}
		outcome, ilac, reason := judge(x.guard, v.Limit.FitFactor)
		value := x.guard.Low
		if order[outcome] < order[worst] || order[outcome] == order[worst] && (value < least || v.Reason == "") {
			worst, least = outcome, value
			v.ILAC, v.Guard = ilac, x.guard
			v.Reason = fmt.Sprintf("every exercise must reach the limit; weakest here: %s, %s", x.Name, reason)
		}
	}
	v.Outcome = worst
	if v.Reason == "" {
		v.Outcome, v.Reason = CannotDecide, "no exercise was counted"
	}
}

// judge compares one guarded estimate with a limit below which it should not be.
func judge(e uncertainty.Estimate, limit float64) (outcome Outcome, ilac, reason string) {
	l := number(limit)
	switch e.Kind {
	case uncertainty.AtLeast:
		if e.Low >= limit {
			return Pass, "pass", fmt.Sprintf("%s is not below %s; no upper value can be given", e.Words(), l)
		}
		return CannotDecide, "", fmt.Sprintf("only a lower bound is known (%s), and it is below %s: too few particles in the room, too short, or beyond the counter's range", e.Words(), l)
	case uncertainty.AtMost:
		if e.High < limit {
			return Fail, "fail", fmt.Sprintf("%s is below %s", e.Words(), l)
		}
		return CannotDecide, "", fmt.Sprintf("only an upper bound is known (%s), and it is not below %s", e.Words(), l)
	case uncertainty.Interval:
		return judgeInterval(e, limit, l)
	}
	return CannotDecide, "", "no interval can be given for this figure"
}

func judgeInterval(e uncertainty.Estimate, limit float64, l string) (outcome Outcome, ilac, reason string) {
	switch {
	case e.Low >= limit:
		return Pass, "pass", fmt.Sprintf("%s is above %s by more than the measurement uncertainty", e.Words(), l)
	case e.Value >= limit:
		return ConditionalPass, "conditional pass", fmt.Sprintf("%s is above %s, but by less than the uncertainty; a repeat may come out below", e.Words(), l)
	case math.IsNaN(e.High) || e.High > limit:
		return CannotDecide, "conditional fail", fmt.Sprintf("%s is below %s, but the uncertainty includes it; not called a fail", e.Words(), l)
	}
	return Fail, "fail", fmt.Sprintf("%s is below %s by more than the measurement uncertainty", e.Words(), l)
}
