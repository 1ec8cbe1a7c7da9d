package signature

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/note"
)

// name is what stands before the signature line of a note by the key.
func (p Public) name() string { return "telltale-" + p.ID() }

// Note signs a text that ends with a line end and gives text and signature in
// one: the signed-note form of the Go checksum database. The text has to begin
// with a line that says what it is, so that no note stands for another.
func (k Key) Note(text string) []byte {
	out, err := note.Sign(&note.Note{Text: text}, noteSigner{k})
	if err != nil {
		panic("signature: " + err.Error())
	}
	return out
}

// OpenNote checks a note by the key and gives its text. A note signed by others
// too, or written in another form, is refused.
func (p Public) OpenNote(signed []byte) (text string, err error) {
	verifier, err := p.verifier()
	if err != nil {
		return "", err
	}
	n, err := note.Open(signed, note.VerifierList(verifier))
	var unknown *note.UnverifiedNoteError
	switch {
	case errors.As(err, &unknown):
		return "", ErrOther
	case err != nil && errors.As(err, new(*note.InvalidSignatureError)):
		return "", ErrBad
	case err != nil:
		return "", ErrForm
	case len(n.Sigs) != 1 || len(n.UnverifiedSigs) != 0:
		return "", ErrTwo
	}
	raw, err := base64.StdEncoding.DecodeString(n.Sigs[0].Base64)
	line := fmt.Sprintf("\n— %s %s\n", p.name(), base64.StdEncoding.EncodeToString(raw))
	if err != nil || !bytes.Equal(signed, []byte(n.Text+line)) {
		return "", ErrForm
	}
	return n.Text, nil
}

func (p Public) verifier() (note.Verifier, error) {
	key, err := note.NewEd25519VerifierKey(p.name(), p.ed25519Key())
	if err != nil {
		return nil, err
	}
	return note.NewVerifier(key)
}

type noteSigner struct{ key Key }

func (s noteSigner) Name() string { return s.key.Public().name() }

func (s noteSigner) KeyHash() uint32 {
	v, err := s.key.Public().verifier()
	if err != nil {
		panic("signature: " + err.Error())
	}
	return v.KeyHash()
}

func (s noteSigner) Sign(message []byte) ([]byte, error) {
	return ed25519.Sign(s.key.ed25519Key(), message), nil
}
