// Package control answers: can this counter be believed today?
//
// It looks at one session (the same counters on the same day) and at each wearing
// in it, and gives gates. An open gate keeps something from being said; the
// numbers are kept. Most thresholds have no regulator's value: they are rules of
// this program, said as such with each gate.
package control

import (
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
}

// own is the source of thresholds that no regulation gives.
var own = reference.Source{Title: "this program", Section: "docs/science/fitfactor.md, gates; no regulator's value was found", State: reference.Own}

func inOrder(name, text string) Gate { return Gate{name, InOrder, Nothing, text, own} }

func open(name, text string) Gate { return Gate{name, Open, Decision, text, own} }

// Holding gives the first gate that keeps a decision (or a fail) from being said.
func Holding(gates []Gate, failing bool) (Gate, bool) {
	for _, g := range gates {
		if g.Blocks == Decision || failing && g.Blocks == Failing {
			return g, true
		}
	}
	return Gate{}, false
}
