package dossier

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"telltale/finding"
	"telltale/ledger"
	"telltale/record"
	"telltale/signature"
)

// Reader is what whoever verifies brings along; all of it may be left out.
type Reader struct {
	Known  *Known             // keys the reader knows
	Seen   *ledger.Checkpoint // the newest checkpoint the reader kept of this publisher's ledger
	Ledger *ledger.Ledger     // the publisher's ledger as it is published now
	Maker  Maker              // how figures and page are made here

	Stamp     []byte // a time-stamp authority's answer over the manifest (RFC 3161)
	Authority []byte // the certificate of the authority that the reader believes, PEM
}

// Answer is the answer to one question.
type Answer struct {
	Question string   `json:"question"`
	State    string   `json:"state"` // a word a program can rely on, listed in docs/dossier.md
	Good     bool     `json:"good"`  // yes, without a but
	Bad      bool     `json:"bad"`   // something contradicts; neither good nor bad = cannot tell
	Text     string   `json:"text"`
	Details  []string `json:"details"`
}

// Verdict is what Verify found: five answers, each for itself.
type Verdict struct {
	Format     string `json:"format"`
	Manifest   string `json:"manifest"` // digest of the manifest, the dossier's name for ever
	Unchanged  Answer `json:"unchanged"`
	Key        Answer `json:"key"`
	Ledger     Answer `json:"ledger"`
	Recomputed Answer `json:"recomputed"`
	Runs       Answer `json:"runs"`

	Card     *Card              `json:"-"` // nil when it could not be read
	Findings *finding.Findings  `json:"-"` // as recomputed here; nil when that was not done
	Study    *record.Study      `json:"-"`
	Seen     *ledger.Checkpoint `json:"-"` // the newest checkpoint the reader may keep now; nil without one
}

// Answers are the five in their order.
func (v *Verdict) Answers() []Answer {
	return []Answer{v.Unchanged, v.Key, v.Ledger, v.Recomputed, v.Runs}
}

// Contradicted reports whether any answer is bad.
func (v *Verdict) Contradicted() bool {
	for _, a := range v.Answers() {
		if a.Bad {
			return true
		}
	}
	return false
}

// The five questions.
const (
	askUnchanged  = "Is it unchanged since it was signed?"
	askKey        = "By which key was it signed?"
	askLedger     = "Was it in the publisher's ledger, and before when?"
	askRecomputed = "Do the figures come out again?"
	askRuns       = "Were all started runs shown?"
)

// Verify opens an archive and answers the five questions. It needs no network and
// nothing but the archive. An error means that the archive cannot be opened as a
// dossier at all; nothing is concluded then.
func Verify(archive []byte, r Reader) (*Verdict, error) {
	if r.Known == nil {
		r.Known = &Known{}
	}
	files, oneForm, err := unpack(archive)
	if err != nil {
		return nil, err
	}
	wrong, err := checkManifest(files)
	if err != nil {
		return nil, err
	}
	v := &Verdict{Format: "telltale-verdict/1", Manifest: digest(files[0].Data)}
	if len(wrong) > 0 {
		v.Unchanged = Answer{askUnchanged, "changed", false, true, "No. Files are not those that the manifest lists.", wrong}
		v.unexamined("The files are not those that were listed, so nothing in them was examined.")
		return v, nil
	}
	if v.Card, err = parseCard(find(files, cardName)); err != nil {
		return nil, err
	}
	key, err := signature.ReadPublic([]byte(v.Card.Key))
	if err != nil || string(find(files, keyName)) != string(key.Text()) {
		v.Unchanged = Answer{askUnchanged, "changed", false, true, "No. The key in the dossier is not a key, or is there in two forms.", []string{}}
		v.unexamined("There is no key to check by.")
		return v, nil
	}
	signed := v.signature(files, key, oneForm)
	v.key(key, signed, r.Known)
	entry := v.ledger(find(files, entryName), key, r)
	v.recompute(files, r.Maker)
	if r.Stamp != nil {
		v.stamp(files[0].Data, r)
	}
	v.runs(entry, r.Ledger)
	return v, nil
}

// unexamined fills the answers that stay open.
func (v *Verdict) unexamined(why string) {
	for _, a := range []struct {
		to  *Answer
		ask string
	}{{&v.Key, askKey}, {&v.Ledger, askLedger}, {&v.Recomputed, askRecomputed}, {&v.Runs, askRuns}} {
		*a.to = Answer{a.ask, "not_examined", false, false, why, []string{}}
	}
}

// signature answers the first question and gives what is wrong with the signature.
func (v *Verdict) signature(files []File, key signature.Public, oneForm bool) error {
	sig := find(files, signatureName)
	if sig == nil {
		v.Unchanged = Answer{askUnchanged, "unsigned", false, true, "Cannot be told. All files fit the manifest, but nobody signed it: anyone could have made both.", []string{}}
		return errMissing
	}
	said, err := key.Check(find(files, manifestName), sig)
	if err == nil && said != comment(*v.Card) {
		err = signature.ErrForm
	}
	switch {
	case err != nil:
		v.Unchanged = Answer{askUnchanged, "not_as_signed", false, true, "No. The files fit the manifest, but the signature does not fit the manifest.", []string{err.Error()}}
	case !oneForm:
		v.Unchanged = Answer{askUnchanged, "repacked", false, true, "The files are those that were signed, but the archive around them was changed or packed anew. " +
			"Another program may see other files in it; use the archive as it was published.", []string{}}
	default:
		v.Unchanged = Answer{askUnchanged, "unchanged", true, false, fmt.Sprintf("Yes. All %d files and the archive are as they were when signed.", len(files)), []string{}}
	}
	return err
}

var errMissing = errors.New("there is no signature")

// key answers the second question.
func (v *Verdict) key(p signature.Public, signed error, known *Known) {
	a := Answer{Question: askKey, Details: []string{"key " + p.ID(), "words: " + strings.Join(p.Words(), " ")}}
	name, since, isKnown := known.name(p)
	other, isOther := known.other(v.Card.Publisher, p)
	revoked, isRevoked := known.said(Revocation, p)
	rotated, isRotated := known.said(Rotation, p)
	who := oneLine(v.Card.Publisher)
	switch {
	case errors.Is(signed, errMissing):
		a.State, a.Bad, a.Text = "missing", true, "There is no signature."
	case errors.Is(signed, signature.ErrTwo):
		a.State, a.Bad, a.Text = "two_signatures", true, "There is more than one signature; which one counts cannot be told."
	case signed != nil:
		a.State, a.Bad, a.Text = "bad_signature", true, "The signature was not made over these bytes by the key that the dossier names."
	case isRevoked && v.Card.Published >= revoked.Date:
		a.State, a.Bad, a.Text = "revoked", true, fmt.Sprintf("Signed after its holder revoked the key (%s: %s).", revoked.Date, revoked.Reason)
	case isRevoked:
		a.State, a.Text = "revoked_later", fmt.Sprintf("The dossier says %s; its holder revoked the key on %s (%s). Whoever stole the key could write any date: "+
			"only a checkpoint or time stamp from before that day speaks for this one.", v.Card.Published, revoked.Date, revoked.Reason)
	case isRotated && v.Card.Published > rotated.Date:
		a.State, a.Bad, a.Text = "replaced", true, fmt.Sprintf("Signed after its holder replaced the key on %s by %s.", rotated.Date, rotated.Successor.ID())
	case isKnown && !strings.EqualFold(name, who):
		a.State, a.Text = "known_by_another_name", fmt.Sprintf("You know this key as %s since %s; the dossier calls its publisher %s.", name, since, who)
	case isKnown:
		a.State, a.Good, a.Text = "known", true, fmt.Sprintf("By the key that you know as %s since %s.", name, since)
	case isOther:
		a.State, a.Bad, a.Text = "changed", true, fmt.Sprintf("By another key than the one you know as %s (%s), and no signed statement says that it was replaced.", who, other.ID())
	default:
		a.State, a.Text = "unknown", fmt.Sprintf("By a key that you do not know; it calls itself %s. Compare its words with those from a recording or from a page of theirs.", who)
	}
	v.Key = a
}

// ledger answers the third question and gives the entry when it holds.
func (v *Verdict) ledger(text []byte, key signature.Public, r Reader) *ledger.Entry {
	a := Answer{Question: askLedger, Details: []string{}}
	defer func() { v.Ledger = a }()
	if text == nil {
		a.State, a.Text = "not_in_ledger", "The dossier brings no entry of a ledger, so nothing shows when it existed."
		return nil
	}
	e, err := ledger.OpenEntry(text, key)
	if err != nil || e.Record.Subject != v.Manifest || e.Record.Date != v.Card.Published ||
		e.Record.Kind != ledger.Published && e.Record.Kind != ledger.Amended {
		a.State, a.Bad, a.Text = "bad_entry", true, "The entry of the ledger does not belong to this dossier, or was changed."
		if err != nil {
			a.Details = append(a.Details, err.Error())
		}
		return nil
	}
	if before, err := ledger.OpenCheckpoint([]byte(v.Card.Ledger), key); err != nil || before.Size != e.Record.N || before.Origin != e.Checkpoint.Origin {
		a.State, a.Bad, a.Text = "bad_entry", true, "The checkpoint inside the dossier is not the one just before its entry."
		return nil
	}
	a.Details = append(a.Details, fmt.Sprintf("record %d of %s, written %s by the publisher's own clock", e.Record.N, e.Checkpoint.Origin, e.Record.Date),
		fmt.Sprintf("checkpoint: size %d, root %s", e.Checkpoint.Size, e.Checkpoint.Root))
	a.State, a.Text, a.Bad = placed(e, r)
	a.Good = a.State == "held"
	if r.Ledger != nil && a.State != "rewritten" {
		if st, ok := r.Ledger.Statement(v.Manifest); ok && st.By != nil {
			a.Good, a.State = false, "superseded"
			a.Text += fmt.Sprintf(" But it does not stand any more: %s on %s (record %d): %s.", st.State, st.By.Date, st.By.N, oneLine(st.By.Text))
		}
	}
	if a.State != "rewritten" {
		v.Seen = newest(e.Checkpoint, r)
	}
	return &e
}

// placed says where the entry stands beside what the reader kept.
func placed(e ledger.Entry, r Reader) (state, text string, bad bool) {
	rewritten := "E162 This ledger was rewritten since you last saw it: what it holds now does not contain what it held then."
	if r.Ledger != nil && r.Ledger.Holds(e.Checkpoint) != nil {
		return "rewritten", "E162 The ledger you named does not hold this dossier's entry as it was signed.", true
	}
	if r.Seen == nil || r.Seen.Origin != e.Checkpoint.Origin {
		return "in_ledger", "Yes, in the publisher's ledger as signed. You kept no checkpoint of it before, so only its own date says when.", false
	}
	switch {
	case r.Seen.Size == e.Checkpoint.Size && *r.Seen != e.Checkpoint:
		return "rewritten", rewritten, true
	case r.Ledger != nil && r.Ledger.Holds(*r.Seen) != nil:
		return "rewritten", rewritten, true
	case r.Ledger == nil && r.Seen.Size != e.Checkpoint.Size:
		return "in_ledger", fmt.Sprintf("Yes, as signed. You kept a checkpoint of size %d; to see that nothing was taken out in between, name the published ledger with --ledger.", r.Seen.Size), false
	case r.Seen.Size >= e.Checkpoint.Size:
		return "held", fmt.Sprintf("Yes, and it was there before the checkpoint of size %d that you kept.", r.Seen.Size), false
	}
	return "held", fmt.Sprintf("Yes, after the checkpoint of size %d that you kept; the ledger has only grown since.", r.Seen.Size), false
}

// newest is the checkpoint that the reader keeps from now on.
func newest(c ledger.Checkpoint, r Reader) *ledger.Checkpoint {
	if r.Ledger != nil && r.Ledger.Size() > c.Size {
		c = r.Ledger.At(r.Ledger.Size())
	}
	if r.Seen != nil && r.Seen.Origin == c.Origin && r.Seen.Size > c.Size {
		c = *r.Seen
	}
	return &c
}

// sameBytes reports whether a file of the dossier is what was made here.
func sameBytes(files []File, name string, made []byte) bool {
	return bytes.Equal(find(files, name), made)
}

// Origin gives the name of the ledger that a dossier says it is in, so that a
// reader can look for a kept checkpoint; "" when there is none. Nothing is checked.
func Origin(archive []byte) string {
	files, _, err := unpack(archive)
	if err != nil {
		return ""
	}
	c, err := parseCard(find(files, cardName))
	if err != nil {
		return ""
	}
	origin, _, _ := strings.Cut(c.Ledger, "\n")
	return origin
}

// StoredFindings gives findings.json of a dossier as it stands in it, nil when it
// cannot be opened. Nothing is checked: Verify does that.
func StoredFindings(archive []byte) []byte {
	files, _, err := unpack(archive)
	if err != nil {
		return nil
	}
	return find(files, findingsName)
}
