// Package control answers: can this counter be believed today?
//
// It looks at one session (the same counters on the same day) and at each wearing
// in it, and gives gates. An open gate keeps something from being said; the
// numbers are kept. Most thresholds have no regulator's value: they are rules of
// this program, said as such with each gate.
package control

import (
	"slices"

	"telltale/reference"
)

// Version names the rules of this package.
const Version = "control/1"

// State is how a gate stands.
type State string

// The states of a gate.
const (
	InOrder     State = "in order"
	Open        State = "open"
	NotExamined State = "not examined"
)

// Blocks is what an open or unexamined gate keeps from being said.
type Blocks string

// The reaches of a gate.
const (
	Decision Blocks = "decision" // neither pass nor fail
	Failing  Blocks = "fail"     // no fail; a pass stands, since the trouble only lowers the figure
	Nothing  Blocks = "nothing"
)

// Gate is one condition, how it stands, and why.
type Gate struct {
	Name   string
	State  State
	Blocks Blocks // Nothing when in order
	Text   string
	Source reference.Source
	// Distrust says that the counter itself is in doubt: the run's number is kept
	// and shown, but it does not enter a pooled figure beside runs that are not.
	Distrust bool
}

// own is the source of thresholds that no regulation gives.
var own = reference.Source{Title: "this program", Section: "docs/science/fitfactor.md, gates; no regulator's value was found", State: reference.Own}

func inOrder(name, text string) Gate {
	return Gate{Name: name, State: InOrder, Blocks: Nothing, Text: text, Source: own}
}

func open(name, text string) Gate {
	return Gate{Name: name, State: Open, Blocks: Decision, Text: text, Source: own}
}

// distrust is an open gate that puts the counter itself in doubt.
func distrust(name, text string) Gate {
	g := open(name, text)
	g.Distrust = true
	return g
}

func notExamined(name, text string, blocks Blocks) Gate {
	return Gate{Name: name, State: NotExamined, Blocks: blocks, Text: text, Source: own}
}

// Distrusted reports whether a gate puts the counter in doubt.
func Distrusted(gates []Gate) bool {
	_, doubt := FirstDistrust(gates)
	return doubt
}

// FirstDistrust gives the first gate that puts the counter in doubt.
func FirstDistrust(gates []Gate) (Gate, bool) {
	i := slices.IndexFunc(gates, func(g Gate) bool { return g.Distrust })
	if i < 0 {
		return Gate{}, false
	}
	return gates[i], true
}

// Holding gives the first gate that keeps a decision (or a fail) from being said.
func Holding(gates []Gate, failing bool) (Gate, bool) {
	for _, g := range gates {
		if g.Blocks == Decision || failing && g.Blocks == Failing {
			return g, true
		}
	}
	return Gate{}, false
}
