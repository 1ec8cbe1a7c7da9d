package ledger

// State says what became of a published statement.
type State string

// The three states.
const (
	Stands   State = "stands"
	Replaced State = "amended"
	TakenOff State = "withdrawn"
)

// Statement is a published dossier and what became of it.
type Statement struct {
	Record Record  `json:"record"`
	State  State   `json:"state"`
	By     *Record `json:"by"` // the record that changed its state, nil while it stands
}

// Statements lists everything that was ever published, in order: nothing leaves
// this list.
func (l *Ledger) Statements() []Statement {
	out := []Statement{}
	find := func(subject string) *Statement {
		for i := range out {
			if out[i].Record.Subject == subject {
				return &out[i]
			}
		}
		return nil
	}
	for _, r := range l.records {
		switch r.Kind {
		case Published:
			out = append(out, Statement{Record: r, State: Stands})
		case Amended:
			if old := find(r.Before); old != nil {
				old.State, old.By = Replaced, &r
			}
			out = append(out, Statement{Record: r, State: Stands})
		case Withdrawn:
			if old := find(r.Subject); old != nil {
				old.State, old.By = TakenOff, &r
			}
		}
	}
	return out
}

// Statement gives what became of the dossier with this manifest.
func (l *Ledger) Statement(manifest string) (Statement, bool) {
	for _, s := range l.Statements() {
		if s.Record.Subject == manifest {
			return s, true
		}
	}
	return Statement{}, false
}
