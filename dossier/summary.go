package dossier

import (
	"bytes"
	"fmt"
	"strings"

	"telltale/finding"
	"telltale/signature"
)

// summaryText is the plain-text summary: what may be said of each respirator, how
// it was obtained, which runs there were, and where it was written down. It holds
// nothing that is not in the findings, but for the publisher's own words.
func summaryText(c Card, f *finding.Findings) []byte {
	var b bytes.Buffer
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", oneLine(c.Study))
	line("Published %s by %s. Licence: %s.", c.Published, oneLine(c.Publisher), oneLine(c.License.Name))
	if a := c.Amends; a != nil {
		line("\nThis corrects the statement of %s (manifest %s).\nReason: %s", a.Date, a.Manifest, oneLine(a.Reason))
		for _, ch := range a.Changes {
			line("  %s: was %s, is now %s", ch.Where, nothing(ch.Old), nothing(ch.New))
		}
	}
	for _, r := range f.Respirators {
		line("\n%s", oneLine(r.Name))
		line("%s.", r.Headline)
		if r.Subline != "" {
			line("%s", r.Subline)
		}
		for _, s := range r.MayBeSaid {
			line("- %s", s)
		}
		for _, s := range r.Caveats {
			line("- Note: %s", s)
		}
		line("Obtained: %s.", strings.TrimSuffix(oneLine(r.Obtained), "."))
	}
	if c.Summary != "" {
		line("\nIn the publisher's own words:\n%s", strings.TrimSpace(c.Summary))
	}
	line("\nRuns started %d, used %d, excluded %d, without a figure %d.", f.Runs.Started, f.Runs.Used, f.Runs.Excluded, f.Runs.Faulty)
	for _, r := range c.Runs {
		if r.State != "used" {
			line("- %s, %s: %s", r.ID, r.State, oneLine(r.Reason))
		}
	}
	if c.Ledger != "" {
		line("\nThe publisher's ledger before this (keep it, to see later that nothing was taken out):\n%s", strings.TrimSpace(c.Ledger))
	}
	line("\nComputed by %s %s (%s).", f.Program.Name, f.Program.Version, f.Program.Commit)
	return b.Bytes()
}

func nothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

// keyFile is the public key as a file.
func keyFile(line string) string {
	p, err := signature.ReadPublic([]byte(line))
	if err != nil {
		panic("dossier: the card's key: " + err.Error()) // the caller took it from a key
	}
	return string(p.Text())
}

// readme tells how to check a dossier by hand.
func readme(c Card) []byte {
	return []byte(`This is a dossier: the facts of a study of respirators, what was computed from them, and a signed list of all files.

What is in it
  report.html            what may be said, to be read in a browser; needs no network
  summary.txt            the same in short
  findings.json          every figure with its interval
  study/                 the facts: what was worn, by which code, when, and every reading
  dossier.json           who published it, when, which runs there were, what it corrects
  reference.json         the borrowed numbers that the figures rest on
  datapackage.json       description for programs that read data packages
  ro-crate-metadata.json description for programs that read research crates
  ledger-entry.txt       proof that the publisher's ledger holds this dossier

Check it by hand, with tools that are not ours
  1. unzip the archive into an empty folder and go there
  2. sha256sum -c manifest-sha256.txt
  3. minisign -V -m manifest-sha256.txt -p publisher.pub
  4. compare publisher.pub with the key you know from elsewhere
     (this one is number ` + keyID(c.Key) + `; its words: ` + keyWords(c.Key) + `)
  5. telltale verify on the archive computes all figures anew from the facts

A good signature says that the holder of the key signed exactly these bytes. It does not say that they are true.
`)
}

func keyID(line string) string {
	p, err := signature.ReadPublic([]byte(line))
	if err != nil {
		panic("dossier: the card's key: " + err.Error())
	}
	return p.ID()
}

func keyWords(line string) string {
	p, err := signature.ReadPublic([]byte(line))
	if err != nil {
		panic("dossier: the card's key: " + err.Error())
	}
	return strings.Join(p.Words(), " ")
}
