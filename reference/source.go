// Package reference answers: which borrowed number, from where, read or from
// memory?
//
// Protocols, classes, regimes and physical constants are embedded data files; a
// person who knows a standard can add to them by writing a file. Every row bears
// its source and whether that source was read. A row from memory keeps that state
// wherever it carries a verdict.
package reference

import "fmt"

// State says how a borrowed number came here.
type State string

// The states of a row.
const (
	Read       State = "read"        // the source, or an excerpt of it, was read
	FromMemory State = "from memory" // nobody looked it up yet
	Computed   State = "computed"    // worked out here from other rows
	Own        State = "own rule"    // a choice of this program; no outside source gives one
)

// Valid reports whether s is one of the known states.
func (s State) Valid() bool { return s == Read || s == FromMemory || s == Computed || s == Own }

// Source is where a borrowed number stands.
type Source struct {
	Title   string `yaml:"title" json:"title"`     // the publication
	Section string `yaml:"section" json:"section"` // section, table or page; may be empty
	State   State  `yaml:"state" json:"state"`
}

// String words the source with its state.
func (s Source) String() string {
	if s.Section == "" {
		return fmt.Sprintf("%s (%s)", s.Title, s.State)
	}
	return fmt.Sprintf("%s, %s (%s)", s.Title, s.Section, s.State)
}
