// Package stamp answers: before when did these bytes exist, and who says so?
//
// A time stamp after RFC 3161 is an authority's signed word that it saw a digest
// at a time. It says that the bytes existed then; not that what they tell is true,
// nor when it was measured. The authority is one that the reader names by its
// certificate; none is built in. It refuses a stamp of other bytes, one that no
// certificate inside signed, and one whose signer was not certified by the named
// authority itself: a chain of others between them is not followed, so that no
// third authority that went astray can speak for it.
package stamp

import (
	"bytes"
	"crypto"
	"crypto/sha256"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/digitorus/pkcs7"
	"github.com/digitorus/timestamp"
)

// Stamp is a time stamp that held.
type Stamp struct {
	Time      time.Time // by the authority's clock
	Accuracy  time.Duration
	Authority string // the signer's name in its certificate
}

// Errors of Check.
var (
	ErrForm    = errors.New("this is not a time stamp that can be read")
	ErrOther   = errors.New("the time stamp is of other bytes")
	ErrTrust   = errors.New("the time stamp was not signed by the authority you named")
	ErrAccepts = errors.New("the named file holds no certificate")
)

// largest is the size of an answer in bytes beyond which it is not read.
const largest = 1 << 16

// Check checks an answer of a time-stamp authority over the message. Authority is
// the certificate, in PEM form, of the signer or of whoever certified it.
func Check(answer, message, authority []byte) (out Stamp, err error) {
	defer func() { // the library was not written for hostile files
		if p := recover(); p != nil {
			out, err = Stamp{}, fmt.Errorf("%w: %v", ErrForm, p)
		}
	}()
	if len(answer) > largest {
		return Stamp{}, ErrForm
	}
	named, err := certificates(authority)
	if err != nil {
		return Stamp{}, err
	}
	t, err := timestamp.ParseResponse(answer)
	if err != nil {
		return Stamp{}, fmt.Errorf("%w: %w", ErrForm, err)
	}
	sum := sha256.Sum256(message)
	if t.HashAlgorithm != crypto.SHA256 || !bytes.Equal(t.HashedMessage, sum[:]) {
		return Stamp{}, ErrOther
	}
	p7, err := pkcs7.Parse(t.RawToken)
	if err != nil {
		return Stamp{}, fmt.Errorf("%w: %w", ErrForm, err)
	}
	// The library takes a token without certificates unchecked, and does not look
	// whose they are: both are done here.
	signer := p7.GetOnlySigner()
	if signer == nil || !slices.Contains(signer.ExtKeyUsage, x509.ExtKeyUsageTimeStamping) {
		return Stamp{}, ErrTrust
	}
	if t.Time.Before(signer.NotBefore) || t.Time.After(signer.NotAfter) || !slices.ContainsFunc(named, func(c *x509.Certificate) bool {
		return signer.Equal(c) || c.IsCA && signer.CheckSignatureFrom(c) == nil
	}) {
		return Stamp{}, ErrTrust
	}
	return Stamp{t.Time.UTC(), t.Accuracy, signer.Subject.String()}, nil
}

// certificates reads all certificates of a PEM file.
func certificates(text []byte) (out []*x509.Certificate, err error) {
	for block, rest := pem.Decode(text); block != nil; block, rest = pem.Decode(rest) {
		c, err := x509.ParseCertificate(block.Bytes)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrAccepts, err)
		}
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil, ErrAccepts
	}
	return out, nil
}
