package dossier

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"telltale/signature"
)

// Known are the keys that a reader knows, with what their holders said of them.
// Its file has a line a key, "key PUBLIC since NAME", and the signed statements
// of rotation and revocation behind an empty line each.
type Known struct {
	keys       []knownKey
	statements []Statement
	texts      [][]byte
}

type knownKey struct {
	key   signature.Public
	since string // the reader's day
	name  string
}

// StatementKind says what a key's holder says of it.
type StatementKind string

// The two kinds of statements.
const (
	Rotation   StatementKind = "rotation"   // from the day on, the successor signs
	Revocation StatementKind = "revocation" // from the day on, the key is not to be believed
)

// Statement is what the holder of a key says of it, signed with that key.
type Statement struct {
	Kind      StatementKind
	Key       signature.Public
	Successor signature.Public // of a rotation
	Date      string           // the day from which on it holds
	Reason    string
}

const statementFormat = "telltale-key-statement/1"

// Sign writes the statement as a note signed by its key.
func (s Statement) Sign(k signature.Key) ([]byte, error) {
	if !k.Public().Equal(s.Key) {
		return nil, errors.New("a statement about a key is signed with that key")
	}
	if !dayForm.MatchString(s.Date) {
		return nil, fmt.Errorf("the date %q is not a day such as 2026-08-20", s.Date)
	}
	return k.Note(s.text()), nil
}

func (s Statement) text() string {
	successor := "none"
	if s.Kind == Rotation {
		successor = s.Successor.String()
	}
	return fmt.Sprintf("%s\nkind: %s\nkey: %s\nsuccessor: %s\ndate: %s\nreason: %s\n",
		statementFormat, s.Kind, s.Key, successor, s.Date, oneLine(s.Reason))
}

// ReadStatement reads a signed statement and checks it by the key that it names.
func ReadStatement(note []byte) (Statement, error) {
	bad := errors.New("this is not a statement about a key")
	lines := strings.Split(string(note), "\n")
	if len(lines) < 7 || lines[0] != statementFormat {
		return Statement{}, bad
	}
	var v [5]string
	for i, key := range []string{"kind: ", "key: ", "successor: ", "date: ", "reason: "} {
		var ok bool
		if v[i], ok = strings.CutPrefix(lines[i+1], key); !ok {
			return Statement{}, bad
		}
	}
	s := Statement{Kind: StatementKind(v[0]), Date: v[3], Reason: v[4]}
	var err error
	if s.Key, err = signature.ReadPublic([]byte(v[1])); err != nil {
		return Statement{}, err
	}
	switch s.Kind {
	case Rotation:
		if s.Successor, err = signature.ReadPublic([]byte(v[2])); err != nil {
			return Statement{}, err
		}
	case Revocation:
	default:
		return Statement{}, bad
	}
	text, err := s.Key.OpenNote(note)
	if err != nil {
		return Statement{}, err
	}
	if text != s.text() || !dayForm.MatchString(s.Date) || strings.Contains(s.Reason, statementFormat) {
		return Statement{}, bad
	}
	return s, nil
}

// ReadKnown reads a known-keys file; an empty one knows nothing.
func ReadKnown(file []byte) (*Known, error) {
	k := &Known{}
	head, rest, _ := bytes.Cut(file, []byte("\n\n"))
	for i, line := range strings.Split(strings.TrimSpace(string(head)), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		parts := strings.SplitN(line, " ", 4)
		if len(parts) != 4 || parts[0] != "key" || !dayForm.MatchString(parts[2]) {
			return nil, fmt.Errorf("line %d of the known keys is not: key PUBLIC DAY NAME", i+1)
		}
		p, err := signature.ReadPublic([]byte(parts[1]))
		if err != nil {
			return nil, fmt.Errorf("line %d of the known keys: %w", i+1, err)
		}
		k.keys = append(k.keys, knownKey{p, parts[2], parts[3]})
	}
	for _, part := range strings.Split(string(rest), statementFormat+"\n") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		note := []byte(statementFormat + "\n" + strings.TrimRight(part, "\n") + "\n")
		if err := k.Hear(note); err != nil {
			return nil, fmt.Errorf("a statement among the known keys: %w", err)
		}
	}
	return k, nil
}

// Bytes writes the known-keys file.
func (k *Known) Bytes() []byte {
	var b bytes.Buffer
	b.WriteString("# keys known to this reader: key PUBLIC SINCE NAME, then signed statements about keys\n")
	for _, x := range k.keys {
		fmt.Fprintf(&b, "key %s %s %s\n", x.key, x.since, x.name)
	}
	for _, t := range k.texts {
		b.WriteString("\n")
		b.Write(t)
	}
	return b.Bytes()
}

// Trust adds a key under a name from a day on.
func (k *Known) Trust(p signature.Public, name, day string) error {
	name = oneLine(name)
	if name == "" || !dayForm.MatchString(day) {
		return errors.New("a known key needs a name and a day")
	}
	for _, x := range k.keys {
		if x.key.Equal(p) {
			return fmt.Errorf("this key is known as %s since %s", x.name, x.since)
		}
	}
	k.keys = append(k.keys, knownKey{p, day, name})
	return nil
}

// Hear adds a signed statement.
func (k *Known) Hear(note []byte) error {
	s, err := ReadStatement(note)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(k.texts, func(t []byte) bool { return bytes.Equal(t, note) }) {
		k.statements, k.texts = append(k.statements, s), append(k.texts, bytes.Clone(note))
	}
	return nil
}

// name gives the name and day under which a key is known, by itself or as the
// successor of a known one.
func (k *Known) name(p signature.Public) (name, since string, ok bool) {
	return k.nameVia(p, len(k.statements))
}

func (k *Known) nameVia(p signature.Public, steps int) (name, since string, ok bool) {
	for _, x := range k.keys {
		if x.key.Equal(p) {
			return x.name, x.since, true
		}
	}
	for _, s := range k.statements {
		if s.Kind == Rotation && steps > 0 && s.Successor.Equal(p) {
			if name, _, ok := k.nameVia(s.Key, steps-1); ok {
				return name, s.Date, true
			}
		}
	}
	return "", "", false
}

// other gives a key known under the name, other than p.
func (k *Known) other(name string, p signature.Public) (signature.Public, bool) {
	for _, x := range k.keys {
		if strings.EqualFold(x.name, oneLine(name)) && !x.key.Equal(p) {
			return x.key, true
		}
	}
	return signature.Public{}, false
}

// said gives the earliest statement of a kind about a key.
func (k *Known) said(kind StatementKind, p signature.Public) (Statement, bool) {
	var first Statement
	found := false
	for _, s := range k.statements {
		if s.Kind == kind && s.Key.Equal(p) && (!found || s.Date < first.Date) {
			first, found = s, true
		}
	}
	return first, found
}
