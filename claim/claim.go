// Package claim answers: can the printed class be true?
//
// It sets sealed wearings and runs of the filter alone against the band that
// package medium expects of a filter which only just meets the class, and says
// consistent, hard to reconcile, inconsistent or cannot tell, with its grounds. It
// assumes that a leak only lowers a fit factor, so a filter is at least as good as
// the best sealed figure of its specimen.
//
// It refuses to speak against a class on a respirator as worn, on a counter that
// was not in order, on a figure whose interval reaches into what the class permits,
// or on rows of reference that nobody looked up. It never says that a class is met:
// this is not the class test. What the paper says is another answer (package
// marks) and no input here.
package claim

import (
	"telltale/medium"
	"telltale/quantity"
	"telltale/record"
	"telltale/reference"
	"telltale/uncertainty"
)

// Rule names the version of the rules by which a Verdict is made.
const Rule = "claim/1"

// Outcome is the answer in a word.
type Outcome string

// The four answers.
const (
	Consistent      Outcome = "consistent"
	HardToReconcile Outcome = "hard_to_reconcile"
	Inconsistent    Outcome = "inconsistent"
	CannotTell      Outcome = "cannot_tell"
)

// Evidence is all that Judge looks at.
type Evidence struct {
	Class      reference.Class // the zero Class unless ClassKnown
	ClassText  string          // the class as printed
	ClassKnown bool

	// Bands are what a filter that just meets the class would show, one for each
	// kind of counter that was used, in this air and at this ventilation; none
	// where the class has none (medium.Expect refuses it).
	Bands []medium.Band

	Sealed  []Sealed // wearings, sealed as well as could
	Holders []Holder // runs of the filter alone
	Filter  Filter   // what attribution says of the filter

	Worn  uncertainty.Estimate // fit factor as worn: context, never weighed
	Faces int                  // wearers that took part
	TIL   *reference.TIL       // the class's limit on total inward leakage; nil = that of Class
}

// Counter is what counted.
type Counter struct {
	Kind     medium.CounterKind
	Smallest quantity.Diameter // smallest particles that entered the figure; 0 = not known
}

// Circumstances are what a figure must come with to be weighed.
type Circumstances struct {
	Specimen string // "" = not told apart
	Day      string // as printed, e.g. 2026-08-14
	Counter  Counter
	InOrder  bool   // no gate is open that keeps a decision from being said
	Open     string // what is open, in words, when not InOrder
	// Reference says that the reference respirator was worn on the same counter the
	// same day and read in its usual range.
	Reference bool
}

// Sealed is a wearing that was sealed as well as could. One whose repairs do not
// seal all round (SealedConfiguration) is not weighed.
type Sealed struct {
	Circumstances
	ID        string
	Repairs   []record.Repair
	FitFactor uncertainty.Estimate
	// Demonstrated says that no leak of account was left: a further repair added
	// nothing and the exercises agree. Shown says how that is known.
	Demonstrated bool
	Shown        string
	Channels     []Channel // penetration by particle size, where it was counted
}

// Channel is the share that got in of one range of sizes.
type Channel struct {
	Low, High   quantity.Diameter // High 0 = open
	Penetration uncertainty.Estimate
}

// Holder is a run of the filter alone.
type Holder struct {
	Circumstances
	ID string
	// Reading is the channel that stands for the whole of what was counted.
	Reading medium.HolderReading
	// WholeFlow is the flow through the whole respirator at the run's face velocity,
	// L/min (medium.HolderResult.WholeFlow); 0 = not known.
	WholeFlow float64
}

// Filter is what a ladder of repairs says of the filter's penetration, at the
// wearings' breathing.
type Filter struct {
	Penetration uncertainty.Estimate
	Separable   bool // filter and seal were told apart; else only a bound is known
	Counter     Counter
}

// Verdict is the answer with all that belongs to it.
type Verdict struct {
	Outcome  Outcome `json:"verdict"`
	Supports bool    `json:"supports"` // consistent, and better than a filter that just meets the class
	Text     string  `json:"text"`
	// Measured is the fit factor that was compared: of a sealed wearing, or of the
	// filter alone carried to a breath. Unknown where nothing was compared.
	Measured    uncertainty.Estimate `json:"measured"`
	Expected    *medium.Band         `json:"expected"`     // the band it was compared with; nil without one
	Ground      []string             `json:"ground"`       // numbered
	WouldChange []string             `json:"would_change"` // what would settle or overturn it
	Rule        string               `json:"rule"`
}
