package reference

import (
	"fmt"
	"slices"
	"time"
)

// Severity says how much a finding on printed words weighs.
type Severity string

// The severities, heaviest first.
const (
	Contradiction Severity = "contradiction" // two statements cannot both hold
	Missing       Severity = "missing"       // a mark that the regime demands is not there
	Unusual       Severity = "unusual"       // permitted but rare, or a regulator's warning sign
	Note          Severity = "note"          // context
)

// Weight orders severities; the heaviest is 0.
func (s Severity) Weight() int {
	return slices.Index([]Severity{Contradiction, Missing, Unusual, Note}, s)
}

// Grammar is what a regime prints, what it demands and what it warns of.
// Patterns are RE2 and run on normalised text (NFKC, one blank or one line break
// between words, every dash a hyphen). A group named t, or class in a family,
// marks the word itself where the pattern also takes in its neighbours.
type Grammar struct {
	Register   Register         `yaml:"register"`
	Families   []Family         `yaml:"families"`
	Standards  []Standard       `yaml:"standards"`
	Marks      []Mark           `yaml:"marks"`
	Complete   []Demand         `yaml:"complete"`
	Conflicts  []Conflict       `yaml:"conflicts"`
	Attachment []AttachmentFact `yaml:"attachment"`
	Collisions []Collision      `yaml:"collisions"`
	Signs      []Sign           `yaml:"signs"`
}

// Register is the official place where a person looks a number up.
type Register struct {
	Name    string   `yaml:"name"`
	Aliases []string `yaml:"aliases"` // short words by which people name it
	Compare string   `yaml:"compare"` // what to compare, as a sentence
	Source  Source   `yaml:"source"`
}

// Family finds the words that look like a class of the regime; those that are no
// class of it are reported, if Source says who lists the classes.
type Family struct {
	Pattern    string `yaml:"pattern"`     // with a group named class
	Context    string `yaml:"context"`     // what must stand somewhere on the item for the word to count; empty = nothing
	OddContext string `yaml:"odd_context"` // the same for a word that is no class of the regime
	Name       string `yaml:"name"`        // the class's name made of the pattern's groups, e.g. "F2100 level ${n}"; empty = the found word
	Guarded    bool   `yaml:"guarded"`     // the word may also be a model code, size or street
	Source     Source `yaml:"source"`      // who says that there are no other classes
}

// Standard is a standard of the regime with its editions.
type Standard struct {
	ID       string    `yaml:"id"`
	Name     string    `yaml:"name"`
	Pattern  string    `yaml:"pattern"`
	Year     string    `yaml:"year"` // pattern of a printed year within the found words; without one the print is shorthand
	Editions []Edition `yaml:"editions"`
	Source   Source    `yaml:"source"`
}

// Edition is one edition of a standard or law. Dates are days; zero = not known.
// An edition is withdrawn from the day named; until Grace it may still be met on
// goods that are in order.
type Edition struct {
	Print     string    `yaml:"print"`
	Match     string    `yaml:"match"` // pattern within the standard's words; the first edition that matches is meant
	Published time.Time `yaml:"published"`
	InForce   time.Time `yaml:"in_force"`
	Withdrawn time.Time `yaml:"withdrawn"`
	Grace     time.Time `yaml:"grace"`
	Source    Source    `yaml:"source"`
}

// Mark is a word, number or sign that the regime prints.
type Mark struct {
	ID      string `yaml:"id"`
	Name    string `yaml:"name"`
	Pattern string `yaml:"pattern"`
	// Looks finds what is meant to be this mark though its form may be wrong;
	// Tolerated is a form that is only unusual.
	Looks     string `yaml:"looks"`
	Tolerated string `yaml:"tolerated"`
	Spelling  string `yaml:"spelling"` // the word whose misspellings are looked for
	Number    bool   `yaml:"number"`   // the mark bears a number that should be the same wherever it stands
	Own       bool   `yaml:"own"`      // the mark belongs to this regime alone and supports its class as the standard does
	Source    Source `yaml:"source"`
}

// Demand is one of the marks that make a set complete.
type Demand struct {
	Rule     string   `yaml:"rule"`
	Severity Severity `yaml:"severity"`
	Marks    []string `yaml:"marks"`  // any one of these marks or standards will do
	Places   []string `yaml:"places"` // where it must stand
	When     []string `yaml:"when"`   // further conditions, as in Conflict
	Without  []string `yaml:"without"`
	Classes  []string `yaml:"classes"` // only for these; empty = all
	Text     string   `yaml:"text"`
	Clears   string   `yaml:"clears"`
	Source   Source   `yaml:"source"`
}

// Conflict is a set of things that may not, or do rarely, stand together.
//
// A condition is the id of a mark or standard of the regime or of the common
// file, with @place when it must stand there; "a|b" is either. Words of the
// program: class (a class of this regime is claimed), class=NAME, any-class (of
// a respirator), other-class (of another regime), standard (of this regime),
// ear_loops, valve, pack (pouch or box was read).
type Conflict struct {
	Rule     string    `yaml:"rule"`
	Severity Severity  `yaml:"severity"`
	When     []string  `yaml:"when"`
	Without  []string  `yaml:"without"`
	After    time.Time `yaml:"after"`  // only if made after this day
	Before   time.Time `yaml:"before"` // only if made before this day
	Text     string    `yaml:"text"`
	Clears   string    `yaml:"clears"`
	Source   Source    `yaml:"source"`
}

// AttachmentFact is what is known of head straps and ear loops in a regime.
type AttachmentFact struct {
	Attachment string   `yaml:"attachment"`
	Severity   Severity `yaml:"severity"` // empty = no finding
	Text       string   `yaml:"text"`
	Source     Source   `yaml:"source"`
}

// Collision is a class name that others print too, so that its use is no
// contradiction by itself.
type Collision struct {
	Classes []string `yaml:"classes"`
	With    string   `yaml:"with"`   // who else prints it
	Marker  string   `yaml:"marker"` // pattern of the other's standard; if it stands on the item the class is not this regime's
	Source  Source   `yaml:"source"`
}

// Sign is a warning sign that a regulator published, and the rule that looks for
// it, or why none does.
type Sign struct {
	Says   string `yaml:"says"`
	Rule   string `yaml:"rule"`
	WhyNot string `yaml:"why_not"`
	Source Source `yaml:"source"`
}

func (g Grammar) check(bad func(string, ...any)) {
	for i, f := range g.Families {
		checkPattern(bad, fmt.Sprintf("family %d", i+1), f.Pattern)
		checkPattern(bad, "context", f.Context)
		checkPattern(bad, "odd_context", f.OddContext)
		checkSource(bad, fmt.Sprintf("family %d", i+1), f.Source)
	}
	for _, s := range g.Standards {
		what := "standard " + s.ID
		checkPattern(bad, what, s.Pattern)
		checkPattern(bad, what+" year", s.Year)
		checkSource(bad, what, s.Source)
		for _, e := range s.Editions {
			checkPattern(bad, what+" edition "+e.Print, e.Match)
			checkSource(bad, what+" edition "+e.Print, e.Source)
			if !e.Grace.IsZero() && e.Grace.Before(e.Withdrawn) {
				bad("%s edition %s: grace ends before the edition is withdrawn", what, e.Print)
			}
		}
	}
	for _, m := range g.Marks {
		checkPattern(bad, "mark "+m.ID, m.Pattern)
		checkPattern(bad, "mark "+m.ID+" looks", m.Looks)
		checkPattern(bad, "mark "+m.ID+" tolerated", m.Tolerated)
		checkSource(bad, "mark "+m.ID, m.Source)
	}
	g.checkRules(bad)
}

// places are the texts of a marks file.
var places = []string{"facepiece", "strap", "pouch", "box", "leaflet", "certificate", "listing"}

func (g Grammar) checkRules(bad func(string, ...any)) {
	rule := func(what, id string, s Severity, text, clears string, source Source) {
		if id == "" || text == "" || clears == "" {
			bad("%s %q: rule, text and clears are needed", what, id)
		}
		if s.Weight() < 0 {
			bad("%s %s: severity %q is not contradiction, missing, unusual or note", what, id, s)
		}
		checkSource(bad, what+" "+id, source)
	}
	for _, d := range g.Complete {
		rule("complete", d.Rule, d.Severity, d.Text, d.Clears, d.Source)
		for _, p := range d.Places {
			if !slices.Contains(places, p) {
				bad("complete %s: no place is called %q", d.Rule, p)
			}
		}
	}
	for _, c := range g.Conflicts {
		rule("conflict", c.Rule, c.Severity, c.Text, c.Clears, c.Source)
	}
	for _, a := range g.Attachment {
		checkSource(bad, "attachment "+a.Attachment, a.Source)
	}
	for _, c := range g.Collisions {
		checkPattern(bad, "collision with "+c.With, c.Marker)
		checkSource(bad, "collision with "+c.With, c.Source)
	}
	for _, s := range g.Signs {
		if (s.Rule == "") == (s.WhyNot == "") {
			bad("sign %q: either a rule or why_not", s.Says)
		}
		checkSource(bad, "sign "+s.Says, s.Source)
	}
	if g.Register.Name != "" {
		checkSource(bad, "register "+g.Register.Name, g.Register.Source)
	}
}
