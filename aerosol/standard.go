package aerosol

import (
	"telltale/quantity"
	"telltale/reference"
)

// TestAerosol is the challenge of a filter standard, as one reading of it.
type TestAerosol struct {
	ID          string // such as us-nacl
	Agent       string // sodium chloride, paraffin oil, DOP
	Size        Lognormal
	Neutralised bool // brought to charge equilibrium; an aerosol that is not is caught better by charged media
	Source      reference.Source
}

// MassMedian is the mass median diameter of the challenge.
func (t TestAerosol) MassMedian() quantity.Diameter { return t.Size.At(MassMedian) }

// TestAerosols are the challenges known here. Where a standard's words leave the
// size open, each reading is a row of its own.
func TestAerosols() []TestAerosol {
	salt, oil, dop := "sodium chloride", "paraffin oil", "DOP"
	cfr := func(section string, state reference.State) reference.Source {
		return reference.Source{Title: "42 CFR 84", Section: section, State: state}
	}
	en := func(section string, state reference.State) reference.Source {
		return reference.Source{Title: "EN 149 / EN 13274-7", Section: section, State: state}
	}
	return []TestAerosol{
		{"us-nacl", salt, lognormal(0.075, 1.86), true, cfr("sodium chloride, CMD 0.075 um, GSD at most 1.86, as two papers quote it", reference.Read)},
		{"us-dop", dop, lognormal(0.185, 1.60), true, cfr("DOP, CMD 0.185 um, GSD at most 1.60", reference.FromMemory)},
		{"en-nacl-count", salt, lognormal(0.08, 2.2), false, en("sodium chloride, CMD 0.06-0.10 um, GSD 2.0-3.0", reference.FromMemory)},
		{"en-nacl-mass", salt, lognormal(0.0485, 2.5), false, en("sodium chloride, mass median about 0.6 um", reference.Read)},
		{"en-oil-count", oil, lognormal(0.35, 1.8), false, en("paraffin oil, CMD 0.29-0.45 um, GSD 1.6-2.2", reference.FromMemory)},
		{"en-oil-mass", oil, lognormal(0.137, 1.82), false, en("paraffin oil, median Stokes diameter 0.4 um read as mass median, log SD 0.26", reference.FromMemory)},
		{"jp-nacl", salt, lognormal(0.08, 1.8), true, reference.Source{Title: "Notification 19 of 1988, dust-mask standard (Japan)", Section: "sodium chloride 0.06-0.1 um, GSD at most 1.8", State: reference.Read}},
		{"jp-dop", dop, lognormal(0.20, 1.6), true, reference.Source{Title: "Notification 19 of 1988, dust-mask standard (Japan)", Section: "DOP 0.15-0.25 um, GSD at most 1.6", State: reference.Read}},
		{"au-nacl-fine", salt, lognormal(0.0710, 2.0), false, reference.Source{Title: "AS/NZS 1716:2012", Section: "sodium chloride, mass median 0.3-0.6 um: lower end, spread assumed 2.0", State: reference.Read}},
	}
}

// FindTestAerosol gives the challenge of an id.
func FindTestAerosol(id string) (TestAerosol, bool) {
	for _, t := range TestAerosols() {
		if t.ID == id {
			return t, true
		}
	}
	return TestAerosol{}, false
}
