package fitfactor

import (
	"slices"
	"strings"
	"unicode"

	"telltale/fault"
	"telltale/record"
	"telltale/reference"
)

const (
	grimace    = "grimace"
	sideBySide = "side by side"
	wholeTrace = "whole trace"
)

// plain is a label without case, punctuation and numbering, so that "3. Head
// side-to-side" is "head side to side".
func plain(label string) string {
	words := strings.FieldsFunc(strings.ToLower(label), func(r rune) bool { return !unicode.IsLetter(r) })
	return strings.Join(words, " ")
}

// labelled is a run of inside readings with one exercise label.
type labelled struct {
	label string
	rows  series
}

// runs groups the inside readings by their label. Readings without a label belong
// to no exercise; other air in between does not end a run.
func runs(t *record.Trace, inside series) (out []labelled) {
	last := int32(-1)
	for i, x := range inside {
		label := t.Exercise[x.row]
		if label < 0 {
			last = -1
			continue
		}
		if label != last {
			out = append(out, labelled{label: t.Labels[label]})
			last = label
		}
		run := &out[len(out)-1]
		run.rows = append(run.rows, inside[i])
	}
	return out
}

// segment cuts the inside readings into the protocol's exercises.
func (r *Result) segment(t *record.Trace, p reference.Protocol, inside series) ([]Exercise, error) {
	var found []labelled
	if t.Exercise != nil {
		beside := labelRows(t, sideBySide)
		inside = slices.DeleteFunc(slices.Clone(inside), func(x reading) bool { return beside[x.row] })
		found = runs(t, inside)
	}
	if len(p.Exercises) == 0 {
		return r.freely(found, inside), nil
	}
	if len(found) == 0 {
		return nil, &fault.Fault{Code: "E212", File: t.Name, What: "protocol " + p.ID + " needs the exercises named, and the trace has no exercise label on its inside rows",
			Do: "Add an exercise column, or use the protocol free for the whole trace."}
	}
	return r.byProtocol(found, p), nil
}

// freely takes each label as an exercise, or the whole trace as one.
func (r *Result) freely(found []labelled, inside series) []Exercise {
	if len(found) == 0 {
		r.step("exercises", "No protocol and no exercise label: the whole trace is one figure.")
		return []Exercise{newExercise(wholeTrace, true, inside)}
	}
	var out []Exercise
	for _, f := range found {
		out = append(out, newExercise(f.label, plain(f.label) != grimace, f.rows))
	}
	r.step("exercises", "No protocol: each of the %d labelled stretches is an exercise; rows without a label are left out; grimace is not counted.", len(out))
	return out
}

// byProtocol matches the labelled runs with the protocol's exercises, in order.
func (r *Result) byProtocol(found []labelled, p reference.Protocol) []Exercise {
	var out []Exercise
	next := 0
	for _, f := range found {
		i := slices.IndexFunc(p.Exercises[next:], func(e reference.Exercise) bool {
			name := plain(f.label)
			return name == plain(e.Name) || e.Instead != "" && name == plain(e.Instead)
		})
		if i < 0 {
			r.Extra = append(r.Extra, f.label)
			continue
		}
		r.lacks(p.Exercises[next : next+i])
		e := p.Exercises[next+i]
		x := newExercise(f.label, e.Counted && plain(f.label) != grimace, f.rows)
		if asked := float64(e.InsideS); asked == 0 && r.Signs.Counters == 2 {
			r.tooShort(x, float64(e.Seconds))
		} else if asked > 0 {
			r.tooShort(x, asked)
		}
		out = append(out, x)
		next += i + 1
	}
	r.lacks(p.Exercises[next:])
	counted := 0
	for _, x := range out {
		if x.Counted {
			counted++
		}
	}
	r.step("exercises", "Protocol %s: %d of its %d exercises found in order, %d counted.", p.ID, len(out), len(p.Exercises), counted)
	r.describeMatch(p)
	return out
}

// lacks notes the counted exercises that the trace does not hold.
func (r *Result) lacks(all []reference.Exercise) {
	for _, e := range all {
		if e.Counted {
			r.Missing = append(r.Missing, e.Name)
		}
	}
}

// describeMatch tells what does not fit the protocol.
func (r *Result) describeMatch(p reference.Protocol) {
	if len(r.Missing) > 0 {
		r.caveat("The trace lacks %s of protocol %s; the overall figure is of the others.", strings.Join(r.Missing, ", "), p.ID)
	}
	if len(r.Extra) > 0 {
		var known []string
		for _, e := range p.Exercises {
			known = append(known, e.Name)
		}
		r.caveat("Not an exercise of protocol %s at its place, left out: %s. %s", p.ID, strings.Join(r.Extra, ", "), fault.DidYouMean(plain(r.Extra[0]), known))
	}
	if p.Ambient == reference.StartAndEnd && r.Signs.Counters == 1 {
		r.caveat("The room's two samples count once each (plain mean); how the rule's own text weighs them was not read.")
	}
	for _, s := range p.FromMemory() {
		r.caveat("Protocol %s rests in part on memory: %s.", p.ID, s)
	}
}

// tooShort says so when an exercise lasted clearly less than the protocol asks.
func (r *Result) tooShort(x Exercise, asked float64) {
	if got := x.EndS - x.StartS; got < 0.9*asked {
		r.caveat("Exercise %q lasted %s s; the protocol asks %s s.", x.Name, number(got), number(asked))
	}
}

// newExercise makes an exercise of its readings and says how many of the rows
// expected were read.
func newExercise(name string, counted bool, rows series) Exercise {
	x := Exercise{Name: name, Counted: counted, Coverage: 1}
	x.part.rows = rows
	if len(rows) > 0 {
		last := rows[len(rows)-1]
		x.StartS, x.EndS = rows[0].t, last.t+last.dt
	}
	return x
}
