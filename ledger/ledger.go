// Package ledger answers: what was written down before what?
//
// A ledger is an append-only list of records with one root hash over all of them
// (a Merkle tree as in RFC 6962). Whoever kept a signed checkpoint, the size and
// root of that day, can tell whether the list has only grown since. It assumes
// that readers keep checkpoints: the writer alone could rewrite the whole list and
// sign it again. Dates in it are the writer's own word. It refuses a record that
// is not in its one form, and growth that does not contain what was there before.
package ledger

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"

	"golang.org/x/mod/sumdb/tlog"
)

// Format names the form of a ledger file; its first line is "Format origin".
const Format = "telltale-ledger/1"

// Kind says what a record is about.
type Kind string

// The kinds of records.
const (
	Published Kind = "published" // a dossier; Subject is the digest of its manifest
	Amended   Kind = "amended"   // a dossier that corrects another; Before is the other's digest
	Withdrawn Kind = "withdrawn" // a dossier that its publisher takes back
	Started   Kind = "started"   // a run was begun; Subject is its id in the study
	Abandoned Kind = "abandoned" // a run was given up; Text says why
	Reference Kind = "reference" // a reference check; Subject is its wearing
	Rule      Kind = "rule"      // a rule came into use; Subject is its version
	KeyEvent  Kind = "key"       // a key was replaced or revoked; Subject is the key
)

// Record is one line of a ledger.
type Record struct {
	N       int64  `json:"n"`    // its number, from 0, so that a gap shows
	Date    string `json:"date"` // as the writer says: 2026-08-20, or an instant with its zone
	Kind    Kind   `json:"kind"`
	Study   string `json:"study,omitempty"`
	Subject string `json:"subject"`
	Before  string `json:"before,omitempty"`
	Facts   string `json:"facts,omitempty"` // digest of the facts and the wishes a dossier was made from
	Text    string `json:"text,omitempty"`
}

// line writes the record in its one form.
func (r Record) line() []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(r); err != nil {
		panic("ledger: " + err.Error())
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

// ParseRecord reads a record's line and refuses it in any but its one form.
func ParseRecord(line []byte) (Record, error) {
	var r Record
	if err := json.Unmarshal(line, &r); err != nil {
		return r, fmt.Errorf("not a record: %w", err)
	}
	if !bytes.Equal(r.line(), line) {
		return r, fmt.Errorf("record %d is not written in its one form", r.N)
	}
	return r, nil
}

// Ledger is a list of records. The zero Ledger has no origin; make one with New.
type Ledger struct {
	origin  string
	records []Record
	hashes  []tlog.Hash // of the whole tree, as tlog stores them
}

// New makes an empty ledger. The origin names it for ever: one line, no blank.
func New(origin string) *Ledger {
	if origin == "" || strings.ContainsAny(origin, " \t\r\n") || !utf8.ValidString(origin) {
		panic("ledger: an origin is one word")
	}
	return &Ledger{origin: origin}
}

// Read reads a ledger file.
func Read(file []byte) (*Ledger, error) {
	if len(file) == 0 || file[len(file)-1] != '\n' {
		return nil, fmt.Errorf("the last line of the ledger is cut off")
	}
	lines := bytes.Split(file[:len(file)-1], []byte("\n"))
	origin, ok := strings.CutPrefix(string(lines[0]), Format+" ")
	if !ok || origin == "" || strings.ContainsAny(origin, " \t\r") || !utf8.ValidString(origin) {
		return nil, fmt.Errorf("the first line of the ledger is not %q and an origin", Format)
	}
	l := New(origin)
	for i, line := range lines[1:] {
		r, err := ParseRecord(line)
		if err != nil {
			return nil, fmt.Errorf("line %d of the ledger: %w", i+2, err)
		}
		if r.N != l.Size() {
			return nil, fmt.Errorf("line %d of the ledger: record %d stands where %d belongs", i+2, r.N, l.Size())
		}
		l.Append(r)
	}
	return l, nil
}

// Bytes writes the ledger file.
func (l *Ledger) Bytes() []byte {
	var b bytes.Buffer
	b.WriteString(Format + " " + l.origin + "\n")
	for _, r := range l.records {
		b.Write(r.line())
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// Origin is the ledger's name.
func (l *Ledger) Origin() string { return l.origin }

// Size is the number of records.
func (l *Ledger) Size() int64 { return int64(len(l.records)) }

// Records are all records in order.
func (l *Ledger) Records() []Record { return l.records }

// Append adds a record at the end, gives it its number, and returns it.
func (l *Ledger) Append(r Record) Record {
	r.N = l.Size()
	more, err := tlog.StoredHashes(r.N, r.line(), l.reader())
	if err != nil {
		panic("ledger: " + err.Error())
	}
	l.hashes = append(l.hashes, more...)
	l.records = append(l.records, r)
	return r
}

func (l *Ledger) reader() tlog.HashReader {
	return tlog.HashReaderFunc(func(at []int64) ([]tlog.Hash, error) {
		out := make([]tlog.Hash, len(at))
		for i, x := range at {
			out[i] = l.hashes[x]
		}
		return out, nil
	})
}

// root is the hash over the first n records.
func (l *Ledger) root(n int64) tlog.Hash {
	h, err := tlog.TreeHash(n, l.reader())
	if err != nil {
		panic("ledger: " + err.Error())
	}
	return h
}
