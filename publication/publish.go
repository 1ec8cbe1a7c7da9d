package publication

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"

	"telltale/dossier"
	"telltale/fault"
	"telltale/ledger"
	"telltale/signature"
)

// Wish is what a publisher asks for.
type Wish struct {
	Folder    fs.FS // the study
	Publisher string
	License   dossier.License
	Summary   string
	Level     float64
	Date      string             // today, 2026-08-20
	Amends    *dossier.Amendment // for a correction: what it corrects and why; its changes are filled in
	Earlier   []byte             // the findings of the dossier it corrects
}

// Sealed is a dossier that was signed and written down.
type Sealed struct {
	Draft   *dossier.Draft
	Archive []byte
	Record  ledger.Record
	Again   bool // it was published before, and these are the same bytes
}

// Prepare makes the draft of a publication and touches nothing. The same study,
// wishes, program and ledger give the same draft on any day: a study that was
// published already keeps its date.
func Prepare(w Wish, by signature.Public, m dossier.Maker, l *ledger.Ledger) (*Plan, error) {
	card := dossier.Card{Publisher: w.Publisher, Key: by.String(), License: w.License, Summary: w.Summary, Level: w.Level, Published: "0001-01-01", Amends: w.Amends}
	facts, err := dossier.Make(w.Folder, card, m)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(facts.Manifest())
	p := &Plan{Facts: hex.EncodeToString(sum[:]), at: l.Size(), date: w.Date, card: card, wish: w, maker: m}
	var before *ledger.Record
	for _, r := range l.Records() {
		if r.Kind != ledger.Published && r.Kind != ledger.Amended {
			continue
		}
		if r.Facts == p.Facts {
			p.at, p.date, p.again = r.N, r.Date, true
			break
		}
		if r.Study == facts.Card.Study {
			before = &r
		}
	}
	if before != nil && !p.again && w.Amends == nil {
		return nil, &fault.Fault{Code: "E187", What: fmt.Sprintf("this study was published on %s (record %d), and it reads differently now", before.Date, before.N),
			Do: "A published statement is not replaced in silence: use the command amend with a reason, or give another study another title."}
	}
	p.study = facts.Card.Study
	if w.Amends != nil {
		amends := *w.Amends
		amends.Changes = dossier.Changes(w.Earlier, facts)
		p.card.Amends = &amends
	}
	return p, nil
}

// Plan is a publication that only lacks the key.
type Plan struct {
	Facts string // digest of all but the date and the ledger
	at    int64  // number of its record
	date  string
	again bool
	study string
	card  dossier.Card
	wish  Wish
	maker dossier.Maker
}

// Draft makes the dossier as it will be signed; the key signs the ledger's
// checkpoint in it.
func (p *Plan) Draft(k signature.Key, l *ledger.Ledger) (*dossier.Draft, error) {
	card := p.card
	card.Published = p.date
	card.Ledger = string(l.At(p.at).Signed(k))
	card.Started = dossier.StartedRuns(l, p.study, p.at)
	return dossier.Make(p.wish.Folder, card, p.maker)
}

// Seal signs a draft and writes it into the ledger, in memory.
func (p *Plan) Seal(d *dossier.Draft, k signature.Key, l *ledger.Ledger) (*Sealed, error) {
	out := &Sealed{Draft: d, Again: p.again}
	sum := sha256.Sum256(d.Manifest())
	subject := hex.EncodeToString(sum[:])
	if p.again {
		out.Record = l.Records()[p.at]
		if out.Record.Subject != subject {
			return nil, fmt.Errorf("record %d of the ledger is of other bytes", p.at)
		}
	} else {
		r := ledger.Record{Date: p.date, Kind: ledger.Published, Study: p.study, Subject: subject, Facts: p.Facts}
		if a := d.Card.Amends; a != nil {
			r.Kind, r.Before, r.Text = ledger.Amended, a.Manifest, a.Reason
		}
		out.Record = l.Append(r)
	}
	entry, err := l.Entry(out.Record.N, k)
	if err != nil {
		return nil, err
	}
	out.Archive = d.Seal(k.Sign(d.Manifest(), d.Comment()), entry)
	return out, nil
}
