package marks

import "telltale/reference"

// Claim is a class that a text claims, and the regime it belongs to.
type Claim struct {
	Class  string `json:"class"`
	Regime string `json:"regime"`
	Where  string `json:"where"`
}

// Evidence is a stretch of raw text and the place it stands in. A fact that was
// stated rather than printed stands under its key (attachment, valve, made ...).
type Evidence struct {
	Where string `json:"where"`
	Text  string `json:"text"`
}

// Finding is one thing that the words say about themselves.
type Finding struct {
	Rule     string             `json:"rule"`
	Severity reference.Severity `json:"severity"`
	Text     string             `json:"text"`
	Evidence []Evidence         `json:"evidence"`
	Source   string             `json:"source"` // publication and section
	State    reference.State    `json:"state"`  // of the source
	Clears   string             `json:"clears"` // what would clear it

	// NeedsConfirmation: the words were read by a machine, and a person has to compare
	// them with the picture before this may be published.
	NeedsConfirmation bool `json:"needs_confirmation"`
}

// Summary is the outcome in one word.
type Summary string

// The summaries. None of them speaks of where a respirator comes from.
const (
	Inconsistent       Summary = "inconsistent"
	NoInconsistency    Summary = "no_inconsistency_found"
	NotEnoughToExamine Summary = "not_enough_to_examine"
)

// Findings is what an examination found, the heaviest first.
type Findings struct {
	Claims   []Claim   `json:"claims"`
	Findings []Finding `json:"findings"`
	Summary  Summary   `json:"summary"`
	LookUps  []LookUp  `json:"look_ups"` // registers that nobody looked into
}
