package reference

import (
	"embed"
	"fmt"
	"path"
	"regexp"
	"sync"
	"time"

	"telltale/fault"
)

//go:embed data/regimes/*.yaml
var regimeFiles embed.FS

// Basis says who stands behind a class.
type Basis string

// The bases of a regime.
const (
	GovernmentApproval Basis = "A" // a government office approves each model
	NotifiedBody       Basis = "B" // a notified or approved body
	SelfDeclared       Basis = "C" // the maker declares
	Voluntary          Basis = "D" // a certifier, by choice
	MedicalDevice      Basis = "E" // the medical-device route
	ConsensusLabel     Basis = "F" // a consensus standard's label, no office behind it
)

// Kind says what sort of thing a regime speaks of.
type Kind string

// The kinds of regime.
const (
	RespiratorKind Kind = "respirator"
	BarrierKind    Kind = "barrier" // face coverings that are no respirators
	MedicalKind    Kind = "medical" // medical masks that are no respirators
	CommonKind     Kind = "common"  // words and rules that belong to no regime
)

// Regime is a country's or a standard's whole knowledge: who says yes, which
// classes there are, and what must be printed where. One YAML file each; how to
// write one is told in docs/regimes.md.
type Regime struct {
	ID      string            `yaml:"regime"`
	Name    string            `yaml:"name"`
	Country string            `yaml:"country"`
	Basis   Basis             `yaml:"basis"`
	Kind    Kind              `yaml:"kind"`
	Sources map[string]Source `yaml:"sources"` // each named with an &anchor and used again with *anchor

	AgentRows map[string]Agent `yaml:"agents"` // anchors for the classes
	TILRows   map[string]TIL   `yaml:"tils"`   // anchors for the classes
	Classes   []Class          `yaml:"classes"`

	Grammar `yaml:",inline"`
}

// Regimes lists every regime, the most often printed first. The embedded files
// are checked by a test; a broken one is a programmer's error.
func Regimes() []Regime { return loadRegimes() }

// RegimeByID finds a regime.
func RegimeByID(id string) (Regime, bool) {
	for _, r := range Regimes() {
		if r.ID == id {
			return r, true
		}
	}
	return Regime{}, false
}

var loadRegimes = sync.OnceValue(func() []Regime {
	var out []Regime
	entries, err := regimeFiles.ReadDir("data/regimes")
	if err != nil {
		panic("reference: " + err.Error())
	}
	for _, entry := range entries { // files begin with a number that sets the order
		name := path.Join("data/regimes", entry.Name())
		data, err := regimeFiles.ReadFile(name)
		if err != nil {
			panic("reference: " + err.Error())
		}
		r, err := ReadRegime(name, data)
		if err != nil {
			panic("reference: " + err.Error())
		}
		out = append(out, r)
	}
	return out
})

// ReadRegime reads one regime file. It refuses unknown keys, patterns that do not
// compile, rows without a source and fractions outside 0 to 1, each with file and
// line or the row's name.
func ReadRegime(file string, data []byte) (Regime, error) {
	var r Regime
	if err := decodeStrict(file, data, &r); err != nil {
		return Regime{}, err
	}
	for i := range r.Classes {
		r.Classes[i].Regime = r.ID
	}
	var faults fault.List
	bad := func(format string, args ...any) {
		faults = append(faults, &fault.Fault{Code: "E303", What: fmt.Sprintf(format, args...), File: file})
	}
	r.check(bad)
	if err := faults.Or(); err != nil {
		return Regime{}, err
	}
	return r, nil
}

// check looks at what the shape of the file cannot say.
func (r *Regime) check(bad func(string, ...any)) {
	if r.ID == "" || r.Name == "" || r.Kind == "" {
		bad("regime, name and kind are needed")
	}
	if r.Kind != CommonKind && (r.Basis < GovernmentApproval || r.Basis > ConsensusLabel || len(r.Basis) != 1) {
		bad("basis %q is not one of A to F", r.Basis)
	}
	for name, s := range r.Sources {
		checkSource(bad, "source "+name, s)
	}
	for _, c := range r.Classes {
		what := "class " + c.Name
		checkSource(bad, what, c.Source)
		if c.LimitPenetration < 0 || c.LimitPenetration >= 1 {
			bad("%s: limit_penetration %v is not a fraction below 1", what, c.LimitPenetration)
		}
		if c.TestFlowLMin > 0 {
			checkSource(bad, what+" flow", c.FlowSource)
		}
		for _, a := range c.Agents {
			checkSource(bad, what+" agent "+a.Name, a.Source)
			if a.Weighting != ByMass && a.Weighting != ByPhotometer && a.Weighting != ByNumber {
				bad("%s agent %s: weighting %q is not mass, photometer or number", what, a.Name, a.Weighting)
			}
		}
		if c.TIL != nil {
			checkSource(bad, what+" til", c.TIL.Source)
		}
	}
	r.Grammar.check(bad)
}

func checkSource(bad func(string, ...any), what string, s Source) {
	if s.Title == "" || !s.State.Valid() {
		bad("%s: a source with title and state (read, from memory, computed, own rule) is needed", what)
	}
}

// pattern compiles an RE2 pattern and reports a bad one.
func checkPattern(bad func(string, ...any), what, pattern string) {
	if _, err := regexp.Compile(pattern); err != nil {
		bad("%s: %v", what, err)
	}
}

// Day is the form of dates in the regime files.
const Day = time.DateOnly
