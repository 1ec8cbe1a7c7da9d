package medium

import (
	"fmt"

	"telltale/aerosol"
	"telltale/fault"
	"telltale/reference"
)

// ClassLimit is what a class asks of the filter alone.
type ClassLimit struct {
	Name, Standard   string
	LimitPenetration float64 // share, 0 to 1
	TestFlow         float64 // constant, L/min
	Agents           []Agent // every one must be passed
	Source           reference.Source
}

// Agent is a test aerosol of a class with the ways its size rule may be read.
type Agent struct {
	Name      string
	Readings  []aerosol.Reading
	Weighting reference.Weighting // what the test's detector adds up
	Source    reference.Source
}

// FromReference takes the filter test out of a class. A class whose standard tests
// no particles, sets no filter limit or states no test flow is refused, since no
// fit factor can be expected from it.
func FromReference(c reference.Class) (ClassLimit, error) {
	refuse := func(what, do string) (ClassLimit, error) {
		return ClassLimit{}, &fault.Fault{Code: "E726", What: what, Do: do}
	}
	switch {
	case c.NoParticleTest:
		return refuse(fmt.Sprintf("%s: there is no particle test in this standard (%s)", c.Name, c.Standard),
			"Bacterial filtration says nothing about the particles a counter sees; no fit factor can be expected from it.")
	case c.LimitPenetration == 0:
		return refuse(fmt.Sprintf("%s (%s) sets total inward leakage, not a filter limit", c.Name, c.Standard),
			"A class by leakage binds a panel of wearers; name the class of the filter, if it has one.")
	case c.TestFlowLMin == 0:
		return refuse(fmt.Sprintf("%s (%s): the particle test is at a face velocity that is not fixed, not at a flow through the mask", c.Name, c.Standard),
			"No fit factor can be expected from it; name a respirator class.")
	}
	limit := ClassLimit{Name: c.Name, Standard: c.Standard, LimitPenetration: c.LimitPenetration, TestFlow: c.TestFlowLMin, Source: c.Source}
	for _, a := range c.Agents {
		readings, err := aerosol.Readings(a)
		if err != nil {
			return ClassLimit{}, fmt.Errorf("class %s: %w", c.Name, err)
		}
		limit.Agents = append(limit.Agents, Agent{a.Name, readings, a.Weighting, a.Source})
	}
	return limit, limit.check()
}

// check refuses a limit that cannot be computed with.
func (l ClassLimit) check() error {
	if !(l.LimitPenetration > 0 && l.LimitPenetration < 1) {
		return &fault.Fault{Code: "E727", What: fmt.Sprintf("limit penetration %.4g of class %s", l.LimitPenetration, l.Name), Do: "Give a share above 0 and below 1, such as 0.06."}
	}
	if err := inRange("E724", "test flow of class "+l.Name, l.TestFlow, 5, 300, "L/min"); err != nil {
		return err
	}
	if len(l.Agents) == 0 {
		return &fault.Fault{Code: "E727", What: fmt.Sprintf("class %s names no test aerosol", l.Name), Do: "Add the class's agent with its size."}
	}
	for _, a := range l.Agents {
		if a.Weighting != reference.ByMass && a.Weighting != reference.ByPhotometer && a.Weighting != reference.ByNumber {
			return &fault.Fault{Code: "E727", What: fmt.Sprintf("agent %s of class %s is weighed by %q", a.Name, l.Name, a.Weighting), Do: "Say what the test's detector adds up: mass, photometer or number."}
		}
		if len(a.Readings) == 0 {
			return &fault.Fault{Code: "E727", What: fmt.Sprintf("agent %s of class %s has no size", a.Name, l.Name), Do: "Add a median diameter and a spread."}
		}
	}
	return nil
}

// readings is the number of ways the class's aerosols can be read together.
func (l ClassLimit) readings() int {
	most := 1
	for _, a := range l.Agents {
		most = max(most, len(a.Readings))
	}
	return most
}

// States are the states of what is taken from the standard: limit and aerosols.
func (l ClassLimit) States() []reference.State {
	out := []reference.State{l.Source.State}
	for _, a := range l.Agents {
		out = append(out, a.Source.State)
	}
	return out
}
