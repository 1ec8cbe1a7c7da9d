package reference

import (
	"bytes"
	_ "embed"
	"fmt"
	"slices"
	"sync"

	"go.yaml.in/yaml/v3"

	"telltale/fault"
)

//go:embed data/protocols.yaml
var protocolsYAML []byte

// Rule says what must reach the limit.
type Rule string

// The two rules of the trade.
const (
	Overall       Rule = "overall"        // the harmonic mean of the counted exercises
	EveryExercise Rule = "every_exercise" // each counted exercise in the same session
)

// AmbientRule says which room air belongs to an exercise when the line is
// switched. With a counter of its own the room is always measured all along.
type AmbientRule string

// The two habits of switched lines.
const (
	BeforeAfterEach AmbientRule = "before_after_each_exercise"
	StartAndEnd     AmbientRule = "start_and_end" // two samples for the whole run, each counted once
)

// Exercise is one step of a protocol.
type Exercise struct {
	Name          string `yaml:"name"`
	Seconds       int    `yaml:"seconds"`
	Counted       bool   `yaml:"counted"`                   // enters the overall fit factor
	Instead       string `yaml:"instead,omitempty"`         // allowed in its place
	AmbientS      int    `yaml:"ambient_s,omitempty"`       // seconds on the room before the mask, switched line
	InsideS       int    `yaml:"inside_s,omitempty"`        // seconds on the mask, switched line
	AmbientAfterS int    `yaml:"ambient_after_s,omitempty"` // seconds on the room after the mask
}

// Limit is the fit factor a protocol asks for.
type Limit struct {
	Facepiece string  `yaml:"facepiece"`
	FitFactor float64 `yaml:"fit_factor"`
	Source    Source  `yaml:"source"`
}

// Remark is a sentence about a row, with its own source.
type Remark struct {
	Text   string `yaml:"text"`
	Source Source `yaml:"source"`
}

// Protocol is one published exercise protocol.
type Protocol struct {
	ID          string      `yaml:"id"`
	Title       string      `yaml:"title"`
	Rule        Rule        `yaml:"rule"`
	Ambient     AmbientRule `yaml:"ambient"`
	WearBeforeS int         `yaml:"wear_before_s,omitempty"`
	Exercises   []Exercise  `yaml:"exercises"`
	Limits      []Limit     `yaml:"limits"`
	Source      Source      `yaml:"source"`
	Notes       []Remark    `yaml:"notes,omitempty"`
}

// HalfMask gives the limit for half masks and filtering facepieces, the first of
// the protocol's limits, and false where the protocol has none.
func (p Protocol) HalfMask() (Limit, bool) {
	if len(p.Limits) == 0 {
		return Limit{}, false
	}
	return p.Limits[0], true
}

// FromMemory lists the sources on which this protocol's verdicts rest and which
// nobody has looked up.
func (p Protocol) FromMemory() []Source {
	all := []Source{p.Source}
	for _, l := range p.Limits {
		all = append(all, l.Source)
	}
	for _, n := range p.Notes {
		all = append(all, n.Source)
	}
	var out []Source
	for _, s := range all {
		if s.State == FromMemory && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

// Protocols lists all protocols in the order of their file.
func Protocols() []Protocol { return loadProtocols() }

var loadProtocols = sync.OnceValue(func() []Protocol {
	var file struct {
		Protocols []Protocol `yaml:"protocols"`
	}
	dec := yaml.NewDecoder(bytes.NewReader(protocolsYAML))
	dec.KnownFields(true)
	if err := dec.Decode(&file); err != nil {
		panic("reference: data/protocols.yaml: " + err.Error())
	}
	return file.Protocols
})

// ProtocolByID finds a protocol. An unknown id is a Fault that names the nearest
// known one.
func ProtocolByID(id string) (Protocol, error) {
	var known []string
	for _, p := range Protocols() {
		if p.ID == id {
			return p, nil
		}
		known = append(known, p.ID)
	}
	return Protocol{}, &fault.Fault{Code: "E201", What: fmt.Sprintf("protocol %q is not known", id), Do: fault.DidYouMean(id, known)}
}
