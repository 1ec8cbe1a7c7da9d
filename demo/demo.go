// Package demo answers: what does a whole study look like?
//
// A town's tool-lending library checks donated masks before the smoke season.
// Every maker, model, person and figure is invented, and the traces are made by
// package simulate when they are asked for, so that the truth behind each of them
// is known. It refuses to be taken for a measurement: each trace says that it was
// simulated.
package demo

import (
	"telltale/record"
	"telltale/simulate"
)

// Seed is the seed of the study that the manual shows.
const Seed uint64 = 2026

// Files makes the study folder: study.yaml, traces and papers.
func Files(seed uint64) simulate.Files {
	files, _, _ := Study(seed)
	return files
}

// Study makes the study folder, its facts and the truth that it does not tell.
func Study(seed uint64) (simulate.Files, *record.Study, simulate.StudyTruth) {
	return simulate.Study(seed, Library())
}

// Scenarios lists the practice scenarios with the demo study, named library, last.
func Scenarios() []simulate.Scenario { return append(simulate.Scenarios(), Library()) }

// ScenarioByName finds one of Scenarios.
func ScenarioByName(name string) (simulate.Scenario, bool) {
	for _, s := range Scenarios() {
		if s.Name == name {
			return s, true
		}
	}
	return simulate.Scenario{}, false
}
