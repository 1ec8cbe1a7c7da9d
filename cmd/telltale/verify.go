package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"telltale/dossier"
	"telltale/ledger"
	"telltale/publication"
	"telltale/report"
)

type verifyCmd struct {
	Dossier   string `arg:"" help:"A published dossier, a zip archive."`
	Ledger    string `help:"The publisher's ledger as it is published now." placeholder:"FILE"`
	Keys      string `help:"Folder of the keys you know and the checkpoints you kept (default: this user's settings)." placeholder:"DIR"`
	Keep      bool   `help:"Keep the ledger's checkpoint for the next time."`
	Out       string `help:"Folder for the recomputed report.html and findings.json." placeholder:"DIR"`
	Stamp     string `help:"A time-stamp authority's answer (RFC 3161) over manifest-sha256.txt." placeholder:"FILE"`
	Authority string `help:"The certificate of the authority that you believe, PEM." placeholder:"FILE"`
	JSON      bool   `help:"Print the answers as JSON alone."`
}

// errContradicted says that an answer was bad; the answers themselves say which.
var errContradicted = errors.New("something in this dossier contradicts something else; see the answers")

// Run answers the five questions.
func (c verifyCmd) Run(s streams) error {
	archive, err := readCapped(c.Dossier, dossier.MostPacked)
	if err != nil {
		return err
	}
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return err
	}
	reader, err := c.reader(keeper, archive)
	if err != nil {
		return err
	}
	v, err := dossier.Verify(archive, reader)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Dossier, err)
	}
	if c.Keep && v.Seen != nil && !v.Contradicted() {
		if err := keeper.KeepSeen(*v.Seen); err != nil {
			return err
		}
	}
	if err := c.recomputed(v); err != nil {
		return err
	}
	if c.JSON {
		err = writeJSON(s.out, v)
	} else {
		err = printVerdict(s.out, v)
	}
	if err == nil && v.Contradicted() {
		return errContradicted
	}
	return err
}

// reader gathers what the person who verifies brings along.
func (c verifyCmd) reader(keeper publication.Keeper, archive []byte) (r dossier.Reader, err error) {
	r.Maker = maker()
	if r.Known, err = keeper.Known(); err != nil {
		return r, err
	}
	if c.Ledger != "" {
		text, err := readCapped(c.Ledger, dossier.MostPacked)
		if err != nil {
			return r, err
		}
		if r.Ledger, err = ledger.Read(text); err != nil {
			return r, fmt.Errorf("%s: %w", c.Ledger, err)
		}
	}
	if (c.Stamp == "") != (c.Authority == "") {
		return r, usage{fmt.Errorf("--stamp and --authority go together: whose stamp do you believe?")}
	}
	if c.Stamp != "" {
		if r.Stamp, err = readCapped(c.Stamp, 1<<16); err != nil {
			return r, err
		}
		if r.Authority, err = readCapped(c.Authority, 1<<20); err != nil {
			return r, err
		}
	}
	if origin := dossier.Origin(archive); origin != "" {
		r.Seen, err = keeper.Seen(origin)
	}
	return r, err
}

// recomputed writes the report as it was made here from the dossier's facts.
func (c verifyCmd) recomputed(v *dossier.Verdict) error {
	if c.Out == "" || v.Findings == nil {
		return nil
	}
	if err := os.MkdirAll(c.Out, 0o777); err != nil {
		return cannotWrite(c.Out, err)
	}
	var page, data bytes.Buffer
	if err := report.HTML(&page, v.Findings, v.Study); err != nil {
		return err
	}
	if err := writeJSON(&data, v.Findings); err != nil {
		return err
	}
	if err := replace(filepath.Join(c.Out, "report.html"), page.Bytes()); err != nil {
		return err
	}
	return replace(filepath.Join(c.Out, "findings.json"), data.Bytes())
}

// printVerdict prints question, answer and ground, five times.
func printVerdict(w io.Writer, v *dossier.Verdict) error {
	var b bytes.Buffer
	if v.Card != nil {
		fmt.Fprintf(&b, "%s\nby %s, %s\n", report.Clean(v.Card.Study), report.Clean(v.Card.Publisher), report.Clean(v.Card.Published))
		if a := v.Card.Amends; a != nil {
			fmt.Fprintf(&b, "It corrects the statement of %s (%s): %s\n", report.Clean(a.Date), report.Clean(a.Manifest), report.Clean(a.Reason))
		}
	}
	fmt.Fprintf(&b, "manifest sha256:%s\n", v.Manifest)
	for i, a := range v.Answers() {
		fmt.Fprintf(&b, "\n%d. %s\n   %s\n", i+1, a.Question, report.Clean(a.Text))
		for n, d := range a.Details {
			if n == 20 {
				fmt.Fprintf(&b, "   - ... and %d more\n", len(a.Details)-n)
				break
			}
			fmt.Fprintf(&b, "   - %s\n", report.Clean(d))
		}
	}
	_, err := b.WriteTo(w)
	return err
}

// readCapped reads a file whole, unless it is larger than a limit.
func readCapped(path string, most int64) ([]byte, error) {
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, missing(path, err)
	}
	if int64(len(data)) > most {
		return nil, fmt.Errorf("E160 %s: larger than %d MB; no dossier is like this", path, most>>20)
	}
	return data, nil
}
