package claim

import (
	"fmt"
	"slices"
	"strings"

	"telltale/reference"
	"telltale/uncertainty"
)

// notTheTest goes with every verdict that rests on a figure.
const notTheTest = "This is not the class test: flow, particles, weighing and loading differ from the standard's."

// text is the verdict in two or three sentences.
func (e Evidence) text(v Verdict, t tally, unused []string) string {
	class := e.Class.Name
	measured := v.Measured.Words()
	switch v.Outcome {
	case Inconsistent:
		return fmt.Sprintf("Inconsistent with the printed class %s under our conditions: %d specimens let through more than any assumption set allows a filter that just meets the class; the best of them reads %s. %s", class, len(t.against), measured, notTheTest)
	case HardToReconcile:
		seal := ""
		if !some(t.against, specimen.firm) {
			seal = "The seal is not ruled out as the cause. "
		}
		return fmt.Sprintf("Hard to reconcile with class %s: %s is below %s, the least that any assumption set gives a sealed filter which just meets the class. %s%s",
			class, measured, uncertainty.Number(v.Expected.HardToReconcileBelow), seal, notTheTest)
	case Consistent:
		if v.Supports {
			return fmt.Sprintf("Consistent: %s supports class %s, since a filter that just meets it would not come above %s under any assumption set. %s", measured, class, uncertainty.Number(v.Expected.BetterThanClassMinimumAbove), notTheTest)
		}
		return fmt.Sprintf("Consistent: %s does not contradict class %s; below %s it would be hard to reconcile. %s", measured, class, uncertainty.Number(v.Expected.HardToReconcileBelow), notTheTest)
	}
	return "Cannot tell: " + e.reason(t, unused) + "."
}

// reason says why it cannot be told.
func (e Evidence) reason(t tally, unused []string) string {
	switch {
	case len(t.against) > 0:
		return fmt.Sprintf("a sealed figure is below what class %s allows, but not everything is, and its seal may be the cause", e.Class.Name)
	case len(t.favour) > 0:
		return fmt.Sprintf("one specimen does not contradict class %s, and another does not settle on a side", e.Class.Name)
	case len(t.open) > 0:
		return fmt.Sprintf("the figures do not settle on which side of the least that class %s allows they lie", e.Class.Name)
	case len(unused) > 0:
		return "no sealed figure can be weighed; " + unused[0]
	}
	return "there is no sealed wearing and no run of the filter alone; a respirator as worn says nothing against its class, since its seal may be the cause"
}

// grounds are what the verdict rests on.
func (e Evidence) grounds(figures []figure, t tally, unused []string) (out []string) {
	for _, f := range figures {
		line := fmt.Sprintf("%s reads %s: %s", f.name, f.ff.Words(), f.stands())
		out = append(out, strings.Join(append([]string{line}, f.notes...), "; "))
	}
	if f := t.filter; f != nil {
		out = append(out, fmt.Sprintf("%s would read %s: %s", f.name, f.ff.Words(), f.stands()))
	} else if e.Filter.Penetration.Kind != "" && e.Filter.Penetration.Kind != uncertainty.Unknown {
		out = append(out, fmt.Sprintf("seal and filter were not told apart; the filter's penetration is %s, which is only told and not weighed", e.Filter.Penetration.Words()))
	}
	for _, s := range slices.Concat(t.open, t.favour) {
		if some(s.figures, figure.below) {
			out = append(out, fmt.Sprintf("lower figures of specimen %s are not held against the class: a filter is at least as good as its best sealed figure", orElse(s.name, "(not told apart)")))
		}
	}
	return append(out, unused...)
}

// context is what must be read beside any verdict on this class.
func (e Evidence) context() (out []string) {
	if e.Worn.Kind != "" && e.Worn.Kind != uncertainty.Unknown {
		out = append(out, fmt.Sprintf("as worn it read %s; a figure as worn is not weighed, since seal and filter both are in it", e.Worn.Words()))
	}
	if !e.ClassKnown {
		return out
	}
	if c := e.Class; c.LimitPenetration > 0 && !c.NoParticleTest {
		out = append(out, fmt.Sprintf("class %s permits %s %% through the filter alone%s (%s)", c.Name, uncertainty.Number(100*c.LimitPenetration), flow(c.TestFlowLMin), c.Source))
	}
	if rows := e.fromMemory(); len(rows) > 0 {
		out = append(out, fmt.Sprintf("%s of the class comes from memory and was not looked up, so no statement of inconsistency is rested on it", strings.Join(rows, " and ")))
	}
	var agents []string
	for _, a := range e.Class.Agents {
		if a.Source.State == reference.FromMemory {
			agents = append(agents, a.Name)
		}
	}
	if len(agents) > 0 {
		out = append(out, fmt.Sprintf("the size of the class's test aerosol (%s) comes from memory; the expected band rests on it", strings.Join(agents, ", ")))
	}
	return append(out, e.inward()...)
}

func flow(v float64) string {
	if v == 0 {
		return ""
	}
	return " at " + uncertainty.Number(v) + " L/min"
}

// inward explains a limit on total inward leakage. The standard divides by the
// time of inhalation: P = (C2/C1) (t_in + t_ex)/t_in (EN 149, leakage formula), so
// that with equal times P is twice the ratio of whole-breath means.
func (e Evidence) inward() []string {
	if e.TIL == nil {
		return nil
	}
	out := fmt.Sprintf("the class also limits total inward leakage (%s): that binds a panel of wearers, so %s can neither pass nor fail it", e.TIL.Words, faces(e.Faces))
	share, what := e.TIL.Means, "a wearer's mean"
	if share == 0 {
		share, what = e.TIL.Results, "a result"
	}
	if share > 0 {
		out += fmt.Sprintf("; it refers leakage to inhalation, so %s %% as %s is a fit factor of %s where the sample is taken on inhalation only, and %s over the whole breath with equal times in and out",
			uncertainty.Number(100*share), what, uncertainty.Number(1/share), uncertainty.Number(2/share))
	}
	return []string{out}
}

func faces(n int) string {
	if n > 1 {
		return fmt.Sprintf("these %d wearers outside the standard's panel", n)
	}
	return "one wearer"
}

// fromMemory names the rows that a statement of inconsistency would rest on and
// that nobody looked up: limit and flow. The aerosol's size moves only the band.
func (e Evidence) fromMemory() (out []string) {
	if unread(e.Class.Source) {
		out = append(out, "the limit")
	}
	if unread(e.Class.FlowSource) {
		out = append(out, "the test flow")
	}
	return out
}

// unread: a row without a source counts as from memory.
func unread(s reference.Source) bool {
	return s.State != reference.Read && s.State != reference.Computed
}

// wouldChange lists what would settle or overturn a verdict.
func (e Evidence) wouldChange(v Verdict, t tally) (out []string) {
	const seal = "a wearing with tape all round, then one more repair that adds nothing, with the reference respirator in its range the same day"
	const alone = "a run of the filter alone in a holder, on two specimens"
	const laboratory = "the class test in a laboratory"
	switch v.Outcome {
	case Inconsistent:
		return []string{"any specimen whose sealed or holder figure reaches the expected band", laboratory}
	case HardToReconcile:
		out = append(out, e.missing(t)...)
		return append(out, "a sealed figure that reaches the expected band", laboratory)
	case Consistent:
		if !v.Supports {
			out = append(out, fmt.Sprintf("a sealed figure above %s would support the class", uncertainty.Number(v.Expected.BetterThanClassMinimumAbove)))
		}
		return append(out, alone+", below the expected band", laboratory)
	}
	if len(t.against)+len(t.open) > 0 {
		out = append(out, "a longer or repeated sealed wearing, so that the interval lies on one side")
	}
	return append(out, seal, alone)
}

// missing is what keeps "hard to reconcile" from being more.
func (e Evidence) missing(t tally) (out []string) {
	add := func(what string) {
		if !slices.Contains(out, what) {
			out = append(out, what)
		}
	}
	if len(t.open)+len(t.favour) > 0 {
		add("specimens that agree: others are not below")
	}
	if t.filter != nil && !t.filter.below() {
		add("agreement with the exercises: by them the filter itself may be better than that")
	}
	named := 0
	for _, s := range t.against {
		if s.name != "" {
			named++
		}
		for _, what := range s.lacks() {
			add(what)
		}
	}
	if named < 2 {
		add("a second specimen that agrees")
	}
	for _, row := range e.fromMemory() {
		add(row + " of the class looked up in the standard")
	}
	return out
}

// lacks is what the figure of a specimen that lacks least still lacks.
func (s specimen) lacks() []string {
	best := s.figures[0].lacks
	for _, f := range s.figures[1:] {
		if len(f.lacks) < len(best) {
			best = f.lacks
		}
	}
	return best
}

// number puts the grounds in order.
func number(grounds []string) []string {
	out := make([]string, len(grounds))
	for i, g := range grounds {
		out[i] = fmt.Sprintf("%d. %s", i+1, g)
	}
	return out
}
