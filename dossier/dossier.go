// Package dossier answers: what can a stranger check?
//
// A dossier is one zip archive with the facts of a study, the findings computed
// from them, the report, and a signed list of the digests of all its files. Make
// builds it from a study folder; Verify opens it and answers five questions, each
// for itself: is it unchanged, by which key was it signed, was it in the ledger
// before when, do the figures come out again, and were all started runs shown.
//
// It assumes nothing of what it opens: names, sizes, forms and numbers are all
// taken for hostile until checked. It refuses an archive it cannot read in one
// way only, and it refuses to make one of a study whose wearers have names, or
// that does not say how the respirators were obtained. docs/dossier.md is the
// written format.
package dossier

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"
)

// Format names the form of a dossier.
const Format = "telltale-dossier/1"

// Names of the files that every dossier has. The first two, and the entry of the
// ledger, are not listed in the manifest: they speak of it.
const (
	manifestName  = "manifest-sha256.txt"
	signatureName = "manifest-sha256.txt.minisig"
	entryName     = "ledger-entry.txt"
	keyName       = "publisher.pub"
	cardName      = "dossier.json"
	findingsName  = "findings.json"
	pageName      = "report.html"
	summaryName   = "summary.txt"
	readmeName    = "README.txt"
	referenceName = "reference.json"
	packageName   = "datapackage.json"
	crateName     = "ro-crate-metadata.json"
	factsFolder   = "study/"
)

// unlisted are the files that the manifest cannot list.
var unlisted = []string{manifestName, signatureName, entryName}

// File is one file of a dossier.
type File struct {
	Name string // with /, from the root of the archive
	Data []byte
}

// find gives the data of a file, nil when there is none.
func find(files []File, name string) []byte {
	for _, f := range files {
		if f.Name == name {
			return f.Data
		}
	}
	return nil
}

// byName sorts files by the bytes of their names.
func byName(files []File) {
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
}

// digest is the SHA-256 in lower-case hex.
func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
