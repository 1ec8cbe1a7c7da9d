// Package record answers: what was seen?
//
// Facts only, no conclusion: respirators, wearers, counters, wearings, repairs,
// checks and the traces themselves, as they were recorded. A correction is a
// further record. Ids are those of the study folder (docs/formats.md).
package record

import (
	"time"

	"telltale/quantity"
)

// Study is a folder of recorded work: one evening or one campaign.
type Study struct {
	Title       string
	Wearers     []Wearer
	Counters    []Counter
	Respirators []Respirator
	Wearings    []Wearing
	Checks      []Check
	Holders     []Holder
}

// Wearer is a face, by a code, never a name. A length of 0 was not measured.
type Wearer struct {
	ID         string
	FaceLength quantity.Length // menton to sellion
	FaceWidth  quantity.Length // bizygomatic
	FacialHair string          // none, stubble, beard ... as written
}

// CounterKind is the principle by which a counter sees particles.
type CounterKind string

// The two kinds of counters.
const (
	Condensation CounterKind = "condensation"
	Optical      CounterKind = "optical"
)

// Counter is one instrument. A quantity of 0 is not known.
type Counter struct {
	ID       string
	Kind     CounterKind            // "" = not stated
	Flow     quantity.Flow          // sample flow that is counted
	DeadTime quantity.Seconds       // per particle; 0 = none, or corrected by the counter itself
	Smallest quantity.Diameter      // the size it sees half of
	Top      quantity.Concentration // highest concentration it can state
	Transit  quantity.Seconds       // from the probe to the counter, through the line
	Washout  quantity.Seconds       // time constant of the line's mixing volume
	Layout   Paper                  // how its files are laid out; zero = as in docs/formats.md
}

// Role says what a respirator is in the study for.
type Role string

// The two roles.
const (
	Test      Role = "test"
	Reference Role = "reference" // the known good one that shows whether the day is in order
)

// Respirator is one model or lot under test; specimens are told apart in Wearing.
type Respirator struct {
	ID       string
	Name     string // as printed
	Claim    string // the class on it, as printed
	Role     Role
	Obtained string // bought, given, borrowed ... for the disclosure line
	Marks    string // path of its marks file in the study folder, or ""
	Expected Range  // usual fit factor of a reference respirator; zero = not stated

	MarksPaper Paper // the marks file itself, unparsed; zero when Marks is ""
}

// Range is a span of fit factors.
type Range struct{ Low, High float64 }

// Stated reports whether the range was given.
func (r Range) Stated() bool { return r.High > 0 }

// Repair is a change made to the respirator or its seal for a wearing.
type Repair struct {
	Word string // nose_strip, tape, brace, strap_clip, or any other word
	Zone string // nose, cheeks, chin, all, or "" when none was named
}

// String writes the repair as the study does: word or word:zone.
func (r Repair) String() string {
	if r.Zone == "" {
		return r.Word
	}
	return r.Word + ":" + r.Zone
}

// Wearing is one recorded run on a face.
type Wearing struct {
	ID         string
	Respirator string
	Specimen   string
	Wearer     string
	Ambient    string    // counter on the room
	Inside     string    // counter on the mask; the same id as Ambient for one counter
	At         time.Time // zero = not stated; carries the zone it was written in
	Donning    string    // wearings that share it were not taken off in between; never empty
	Repairs    []Repair
	Protocol   string // id of a reference row
	Layout     Paper  // of this trace; zero = that of its counter
	Trace      *Trace
	Observed   []string // notes such as collapse_on_inhalation; never a number
	Excluded   string   // a reason keeps the run listed and out of the figures
}

// CheckKind says what a check looked at.
type CheckKind string

// The kinds of checks.
const (
	Zero         CheckKind = "zero"         // filtered air: what the counter shows for nothing
	Room         CheckKind = "room"         // room air, both columns or one
	ReferenceRun CheckKind = "reference"    // a wearing of the reference respirator
	SideBySide   CheckKind = "side_by_side" // two counters on the same air
)

// Check is one look at a counter or at the room.
type Check struct {
	Kind     CheckKind
	Counters []string  // one; two (ambient one first) for side_by_side and where a room or wearing has two
	At       time.Time // zero = not stated; that of the wearing for ReferenceRun
	Wearing  string    // for ReferenceRun
	Layout   Paper     // of this trace; zero = that of its counter
	Trace    *Trace    // nil for ReferenceRun
}

// Holder is a run of the filter alone, clamped and pumped: the ambient columns
// are upstream, the inside columns downstream.
type Holder struct {
	ID         string
	Respirator string
	Specimen   string
	Area       quantity.Area
	Flow       quantity.Flow
	Counter    string
	At         time.Time
	Layout     Paper // of this trace; zero = that of its counter
	Trace      *Trace
}
