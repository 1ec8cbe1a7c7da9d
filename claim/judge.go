package claim

import (
	"fmt"
	"math"

	"telltale/uncertainty"
)

// tally is the evidence sorted by the side it stands on.
type tally struct {
	against, open, favour []specimen
	filter                *figure // of attribution, when it told filter and seal apart
}

// Judge weighs the evidence. The rules (claim/1):
//   - A figure is weighed if its gates are in order, a band is expected for its kind
//     of counter and, on a face, it was taped all round. It speaks for the class if
//     its whole interval is at or above the band's lower threshold, against it if the
//     whole interval is below, else it is open. Of "at least" and "at most" only the
//     end that exists counts.
//   - A specimen is against only if all its figures are.
//   - Any specimen against: hard to reconcile. But if none of those against was
//     demonstrably sealed or measured alone, and another specimen is open or for, or
//     attribution does not put the filter itself below: cannot tell.
//   - Inconsistent: two specimens against, none otherwise, each with a figure that
//     lacks nothing (reference respirator in control the same day; demonstrably sealed
//     by an optical counter from 0.3 um, and above the limit beyond uncertainty; or
//     alone in a holder at or below the test flow, above the limit, and for a
//     condensation counter above what published filters let through at their worst
//     size), and a limit and a flow that were looked up.
//   - Consistent: every specimen is for. It supports the class only if every one lies
//     above the band's upper threshold.
//   - A filter that attribution tells apart from the seal is weighed by itself only
//     where there is no figure, and is never demonstrably sealed; a mere bound of
//     attribution is only told.
func Judge(e Evidence) Verdict {
	if e.TIL == nil {
		e.TIL = e.Class.TIL
	}
	v := Verdict{Outcome: CannotTell, Rule: Rule, Measured: uncertainty.NewUnknown(0, "nothing could be compared with the class")}
	if text, settle := e.unanswerable(); text != "" {
		v.Text, v.WouldChange = text, []string{settle}
		v.Ground = number(e.context())
		return v
	}
	figures, unused := e.figures()
	t := e.sort(figures)
	v.Outcome, v.Supports = t.outcome(e)
	if f := t.carries(v.Outcome); f != nil {
		v.Measured, v.Expected = f.ff, &f.band
	}
	v.Text = e.text(v, t, unused)
	v.Ground = number(append(e.grounds(figures, t, unused), e.context()...))
	v.WouldChange = e.wouldChange(v, t)
	return v
}

// sort puts every specimen on its side.
func (e Evidence) sort(figures []figure) (t tally) {
	for _, s := range bySpecimen(figures) {
		t.put(s)
	}
	t.filter = e.toldApart()
	if t.filter != nil && len(figures) == 0 {
		t.put(specimen{figures: []figure{*t.filter}})
	}
	return t
}

// toldApart is the filter as attribution tells it apart from the seal; nil when it
// does not.
func (e Evidence) toldApart() *figure {
	band, found := e.band(e.Filter.Counter)
	ff := e.Filter.Penetration.Inverse()
	if !found || !e.Filter.Separable || ff.Kind == "" || ff.Kind == uncertainty.Unknown {
		return nil
	}
	return &figure{Circumstances: Circumstances{Counter: e.Filter.Counter}, name: "the filter as told apart from the seal", ff: ff, band: band,
		lacks: []string{"a sealed wearing, or the filter alone in a holder"}}
}

func (t *tally) put(s specimen) {
	switch {
	case s.against():
		t.against = append(t.against, s)
	case s.favours():
		t.favour = append(t.favour, s)
	default:
		t.open = append(t.open, s)
	}
}

// outcome applies the rules to the sides.
func (t tally) outcome(e Evidence) (o Outcome, supports bool) {
	others := len(t.open) + len(t.favour)
	better := t.filter != nil && !t.filter.below() // attribution finds the filter itself no worse than that
	seal := !some(t.against, specimen.firm) && (others > 0 || better)
	switch {
	case len(t.against) > 0 && seal:
		return CannotTell, false // the seal may be the whole of it
	case len(t.against) > 0 && others == 0 && !better && t.heavy() >= 2 && len(e.fromMemory()) == 0:
		return Inconsistent, false
	case len(t.against) > 0:
		return HardToReconcile, false
	case len(t.open) > 0 || len(t.favour) == 0:
		return CannotTell, false
	}
	return Consistent, all(t.favour, specimen.better)
}

// heavy counts the specimens that carry all that "inconsistent" asks.
func (t tally) heavy() (n int) {
	for _, s := range t.against {
		if s.heavy() {
			n++
		}
	}
	return n
}

// carries is the figure that a verdict is printed with: the most favourable one of
// the side that decided, so that nothing is made to look worse than it is.
func (t tally) carries(o Outcome) *figure {
	sides := [][]specimen{t.favour, t.open, t.against}
	if o == HardToReconcile || o == Inconsistent {
		sides = [][]specimen{t.against}
	}
	for _, side := range sides {
		var best *figure
		for _, s := range side {
			for i := range s.figures {
				if f := &s.figures[i]; best == nil || f.reach() > best.reach() {
					best = f
				}
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// reach orders figures by how far above the lower threshold of their own band they
// are known to come, so that two kinds of counters can be ordered.
func (f figure) reach() float64 {
	for _, end := range []float64{least(f.ff), most(f.ff)} {
		if !math.IsNaN(end) {
			return end / f.band.HardToReconcileBelow
		}
	}
	return 0
}

// unanswerable gives the reason why no measurement can answer for this class, and
// what would settle it; empty when one can.
func (e Evidence) unanswerable() (text, settle string) {
	switch c := e.Class; {
	case !e.ClassKnown && e.ClassText == "":
		return "Cannot tell: no class is printed.", "a printed class"
	case !e.ClassKnown:
		return fmt.Sprintf("Cannot tell: %q is no class that is known here.", e.ClassText), "the class as its standard prints it, together with the standard"
	case c.NoParticleTest:
		return fmt.Sprintf("Cannot tell: %s has no test with fine particles (%s), so no count of particles can speak for or against it.", c.Name, c.Standard), "a class that is set by a particle test"
	case c.LimitPenetration == 0:
		return fmt.Sprintf("Cannot tell: %s (%s) sets no limit for the filter alone.", c.Name, c.Standard), "the class of the filter, or the standard's own test on its panel of wearers"
	case c.TestFlowLMin == 0 || len(e.Bands) == 0:
		return fmt.Sprintf("Cannot tell: no sealed fit factor can be expected of %s (%s).", c.Name, c.Standard), "a class whose standard states the flow and the particles of its test"
	}
	return "", ""
}
