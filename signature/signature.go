// Package signature answers: who signed these bytes?
//
// A key is an Ed25519 key in minisign form, so that the generic tool checks what
// is signed here. A signature says that the holder of a key signed exactly these
// bytes; it says nothing of whether they are true, and nothing of when.
// It refuses a signature that is not written in its one form, so that no byte of
// it can be changed unnoticed.
package signature

import (
	"bytes"
	"crypto/ed25519"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"strings"

	"aead.dev/minisign"
)

// Key is a secret key.
type Key struct{ private minisign.PrivateKey }

// New makes a key from 40 random bytes.
func New(random io.Reader) (Key, error) {
	_, private, err := minisign.GenerateKey(random)
	if err != nil {
		return Key{}, fmt.Errorf("make a key: %w", err)
	}
	return Key{private}, nil
}

// ReadKey reads a secret key file. A file that is Locked needs its passphrase;
// opening it takes many seconds by intent.
func ReadKey(text []byte, passphrase string) (Key, error) {
	text = bytes.TrimSpace(text)
	if Locked(text) {
		private, err := minisign.DecryptKey(passphrase, text)
		if err != nil {
			return Key{}, errors.New("the passphrase does not open this key")
		}
		return Key{private}, nil
	}
	var private minisign.PrivateKey
	if err := private.UnmarshalText(text); err != nil {
		return Key{}, errors.New("this is not a secret key in minisign form")
	}
	return Key{private}, nil
}

// Locked reports whether a secret key file needs a passphrase.
func Locked(text []byte) bool { return minisign.IsEncrypted(bytes.TrimSpace(text)) }

// Text writes the secret key file, locked when there is a passphrase.
func (k Key) Text(passphrase string) ([]byte, error) {
	var text []byte
	var err error
	if passphrase == "" {
		text, err = k.private.MarshalText()
	} else {
		text, err = minisign.EncryptKey(passphrase, k.private)
	}
	if err != nil {
		return nil, fmt.Errorf("write the key: %w", err)
	}
	return append(text, '\n'), nil
}

// Public gives the half that may be shown.
func (k Key) Public() Public { return Public{k.private.Public().(minisign.PublicKey)} }

// Sign gives the minisign file of the message. The comment is signed with it; it
// must be one line. The same key, message and comment give the same file.
func (k Key) Sign(message []byte, comment string) []byte {
	if strings.ContainsAny(comment, "\r\n") {
		panic("signature: a comment is one line")
	}
	r := minisign.NewReader(bytes.NewReader(message))
	if _, err := io.Copy(io.Discard, r); err != nil {
		panic("signature: " + err.Error())
	}
	text := r.SignWithComments(k.private, comment, untrusted(k.Public()))
	return append(bytes.TrimRight(text, "\n"), '\n')
}

// untrusted is the first line of a signature. No key covers it, so it has to be
// this one.
func untrusted(p Public) string { return "signature from minisign secret key " + p.ID() }

// ed25519Key takes the bare key out of the file form, its last 64 bytes before the
// unused checksum.
func (k Key) ed25519Key() ed25519.PrivateKey {
	text, err := k.private.MarshalText()
	if err != nil {
		panic("signature: " + err.Error())
	}
	_, line, _ := strings.Cut(string(text), "\n")
	raw, err := base64.StdEncoding.DecodeString(strings.TrimSpace(line))
	const begin = 2 + 2 + 2 + 32 + 8 + 8 + 8 // algorithms, salt, two limits, id
	if err != nil || len(raw) < begin+ed25519.PrivateKeySize {
		panic("signature: the key's text has another form")
	}
	return ed25519.PrivateKey(raw[begin : begin+ed25519.PrivateKeySize])
}

// Public is a key that checks signatures.
type Public struct{ key minisign.PublicKey }

// ReadPublic reads a public key: its file, or the one line of letters in it.
func ReadPublic(text []byte) (Public, error) {
	lines := strings.Fields(strings.TrimSpace(string(text)))
	if len(lines) == 0 {
		return Public{}, errors.New("there is no public key in it")
	}
	var key minisign.PublicKey
	if err := key.UnmarshalText([]byte(lines[len(lines)-1])); err != nil {
		return Public{}, errors.New("this is not a public key in minisign form")
	}
	p := Public{key}
	if p.String() != lines[len(lines)-1] {
		return Public{}, errors.New("this public key is not written in its one form")
	}
	return p, nil
}

// String writes the key as one line of letters.
func (p Public) String() string { return p.key.String() }

// ID is the key's number, a hint for finding it and no more: anyone may choose one.
func (p Public) ID() string { return fmt.Sprintf("%016X", p.key.ID()) }

// Text writes the public key file.
func (p Public) Text() []byte {
	return []byte("untrusted comment: minisign public key " + p.ID() + "\n" + p.String() + "\n")
}

// Equal reports whether both are the same key.
func (p Public) Equal(o Public) bool { return p.key.Equal(o.key) }

// ed25519Key is the bare key: the last 32 bytes of the file form.
func (p Public) ed25519Key() ed25519.PublicKey {
	raw, err := base64.StdEncoding.DecodeString(p.String())
	if err != nil || len(raw) != 2+8+ed25519.PublicKeySize {
		panic("signature: the public key's text has another form")
	}
	return ed25519.PublicKey(raw[10:])
}

// Errors of Check.
var (
	ErrForm  = errors.New("the signature is not written in its one form")
	ErrTwo   = errors.New("there is more than one signature")
	ErrOther = errors.New("the signature was made with another key")
	ErrBad   = errors.New("the signature does not fit these bytes")
)

// Check checks a minisign file over the message and gives its signed comment.
func (p Public) Check(message, file []byte) (comment string, err error) {
	if bytes.Count(file, []byte("untrusted comment:")) > 1 {
		return "", ErrTwo
	}
	var s minisign.Signature
	if err := s.UnmarshalText(file); err != nil {
		return "", ErrForm
	}
	if s.KeyID != p.key.ID() {
		return "", ErrOther
	}
	again, err := s.MarshalText()
	if err != nil || s.Algorithm != minisign.HashEdDSA || s.UntrustedComment != untrusted(p) ||
		!bytes.Equal(append(bytes.TrimRight(again, "\n"), '\n'), file) {
		return "", ErrForm
	}
	if !minisign.Verify(p.key, message, file) {
		return "", ErrBad
	}
	return s.TrustedComment, nil
}
