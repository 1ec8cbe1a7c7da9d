package dossier

import (
	"fmt"
	"time"

	"telltale/ledger"
	"telltale/stamp"
)

// stamp adds what a time-stamp authority says to the third answer.
func (v *Verdict) stamp(manifest []byte, r Reader) {
	a := &v.Ledger
	s, err := stamp.Check(r.Stamp, manifest, r.Authority)
	switch last := v.lastRun(); {
	case err != nil:
		a.State, a.Good, a.Bad, a.Text = "bad_stamp", false, true, "E163 The time stamp says nothing of this dossier: "+err.Error()+"."
	case last.After(s.Time.Add(s.Accuracy)):
		a.State, a.Good, a.Bad = "bad_stamp", false, true
		a.Text = fmt.Sprintf("E163 The time stamp is of %s, before the last run in the dossier (%s): one of the two clocks was wrong, or the run was not there then.",
			s.Time.Format(time.RFC3339), last.Format(time.RFC3339))
	default:
		a.Details = append(a.Details, fmt.Sprintf("time stamp: %s says that it saw this manifest at %s", s.Authority, s.Time.Format(time.RFC3339)))
		a.Text += fmt.Sprintf(" By the clock of the authority you named it existed before %s.", s.Time.Format(time.RFC3339))
		if a.State == "in_ledger" || a.State == "not_in_ledger" {
			a.State, a.Good = "stamped", true
		}
	}
}

// lastRun is when the last run of the study began; zero without times.
func (v *Verdict) lastRun() (last time.Time) {
	if v.Study == nil {
		return last
	}
	for _, w := range v.Study.Wearings {
		if w.At.After(last) {
			last = w.At
		}
	}
	return last
}

// StartedRuns gives what the ledger says of runs of a study before a record.
func StartedRuns(l *ledger.Ledger, study string, before int64) []ledger.Record {
	out := []ledger.Record{}
	for _, r := range l.Records() {
		if r.N < before && r.Study == study && (r.Kind == ledger.Started || r.Kind == ledger.Abandoned) {
			out = append(out, r)
		}
	}
	return out
}

// missing names started runs that are neither shown nor abandoned.
func missing(records []ledger.Record, shown []Run) (out []string) {
	known := map[string]bool{}
	for _, r := range shown {
		known[r.ID] = true
	}
	for _, r := range records {
		if r.Kind == ledger.Abandoned {
			known[r.Subject] = true
		}
	}
	for _, r := range records {
		if r.Kind == ledger.Started && !known[r.Subject] {
			out = append(out, fmt.Sprintf("started %s, not shown: %s (record %d)", r.Date, r.Subject, r.N))
			known[r.Subject] = true
		}
	}
	return out
}
