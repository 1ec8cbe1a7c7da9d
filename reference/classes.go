package reference

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"telltale/fault"
)

// Class is one protection class as its regime defines it for certification. The
// limits speak of the filter under the standard's test (constant flow, no face
// seal), not of a fit factor on a face.
type Class struct {
	Name     string   `yaml:"name"`    // as printed, e.g. FFP2; a class without a name of its own bears its standard's, e.g. "GB 19083 grade 1"
	Aliases  []string `yaml:"aliases"` // other ways the regime prints it
	Regime   string   `yaml:"-"`       // Regime.ID
	Standard string   `yaml:"standard"`

	// LimitPenetration is the largest permitted filter penetration, as a fraction
	// (0.06 for 6 %). Zero means that the class sets no filter limit (a class by
	// total inward leakage).
	LimitPenetration float64 `yaml:"limit_penetration"`
	TestFlowLMin     float64 `yaml:"test_flow_l_min"` // constant flow of the test, litres a minute; 0 = not known or not given as a flow
	Agents           []Agent `yaml:"agents"`          // every one must be passed
	Loading          string  `yaml:"loading"`         // when the limit must hold, in words
	// NoParticleTest marks a standard that tests bacterial droplets only; its limit
	// says nothing about fine particles.
	NoParticleTest bool `yaml:"no_particle_test"`
	TIL            *TIL `yaml:"til"` // nil when the regime sets none or it is not known

	Source     Source `yaml:"source"`      // of LimitPenetration
	FlowSource Source `yaml:"flow_source"` // of TestFlowLMin; empty when there is no flow
}

// MinEfficiency is the least permitted filter efficiency, as a fraction.
func (c Class) MinEfficiency() float64 { return 1 - c.LimitPenetration }

// Weighting says what the detector of a class test adds up.
type Weighting string

// The weightings of detectors.
const (
	ByMass       Weighting = "mass"       // e.g. flame photometer or weighing
	ByPhotometer Weighting = "photometer" // light scatter, near mass for particles above about 0.1 um
	ByNumber     Weighting = "number"     // particles or colonies counted
)

// Agent is a test aerosol of a class.
type Agent struct {
	Name string `yaml:"name"` // e.g. NaCl, DOP, paraffin oil
	// CMDum and MMDum are the count and mass median diameters in micrometres, as
	// the standard gives them; 0 = it gives the other one, or none.
	CMDum       float64   `yaml:"cmd_um"`
	MMDum       float64   `yaml:"mmd_um"`
	GSD         float64   `yaml:"gsd"`         // geometric standard deviation, mostly the standard's upper bound; 0 = not given
	Neutralised *bool     `yaml:"neutralised"` // nil = not known
	Weighting   Weighting `yaml:"weighting"`
	Size        string    `yaml:"size"` // the size rule in words
	Source      Source    `yaml:"source"`
}

// TIL is a limit on total inward leakage on people, as fractions. It binds a
// panel of wearers, so one wearer can neither pass nor fail it.
type TIL struct {
	Results float64 `yaml:"results"` // most exercise results (46 of 50 in EN 149); 0 = not limited
	Means   float64 `yaml:"means"`   // most wearers' means (8 of 10 in EN 149); 0 = not limited
	Words   string  `yaml:"words"`
	Source  Source  `yaml:"source"`
}

// Classes lists every class of every regime, in the order of the regime files.
func Classes() []Class {
	var out []Class
	for _, r := range Regimes() {
		out = append(out, r.Classes...)
	}
	return out
}

// ClassByName finds a class by its printed name; case, spaces and hyphens do not
// matter. Where two regimes share a name (FFP2 in Europe and India) it gives the
// first regime's; ClassesByName gives all, and "in-bis:FFP2" names one regime's.
// An unknown name gives a fault with the nearest known one.
func ClassByName(name string) (Class, error) {
	if found := ClassesByName(name); len(found) > 0 {
		return found[0], nil
	}
	known := make([]string, 0, 100)
	for _, c := range Classes() {
		if !slices.Contains(known, c.Name) {
			known = append(known, c.Name)
		}
	}
	return Class{}, &fault.Fault{Code: "E310", What: fmt.Sprintf("no class is called %q", name), Do: fault.DidYouMean(name, known)}
}

// ClassesByName gives the classes of all regimes that print this name.
func ClassesByName(name string) []Class {
	regime, class, qualified := strings.Cut(name, ":")
	if !qualified {
		regime, class = "", name
	}
	var out []Class
	for _, c := range classIndex()[FoldClass(class)] {
		if regime == "" || c.Regime == regime {
			out = append(out, c)
		}
	}
	return out
}

// FoldClass is the form in which class names are compared: capitals, without
// spaces, hyphens and line breaks.
func FoldClass(name string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' || r == '\n' || r == '\t' {
			return -1
		}
		return r
	}, strings.ToUpper(name))
}

var classIndex = sync.OnceValue(func() map[string][]Class {
	index := map[string][]Class{}
	for _, c := range Classes() {
		for _, name := range append([]string{c.Name}, c.Aliases...) {
			index[FoldClass(name)] = append(index[FoldClass(name)], c)
		}
	}
	return index
})
