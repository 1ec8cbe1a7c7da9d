package main

import (
	"context"
	"fmt"
	"path/filepath"

	"telltale/dossier"
	"telltale/fault"
	"telltale/ledger"
)

type amendCmd struct {
	Dossier  string `arg:"" help:"The published dossier that is to be corrected."`
	Study    string `arg:"" optional:"" help:"Study folder with the corrected facts; left out with --withdraw."`
	Reason   string `required:"" help:"What was wrong."`
	Withdraw bool   `help:"Take the statement back without another in its place."`
	publisherFlags
}

// Run publishes a correction beside the statement it corrects, or takes that
// back. The earlier dossier stays as it is.
func (c amendCmd) Run(ctx context.Context, s streams) error {
	if c.Withdraw == (c.Study != "") {
		return usage{fmt.Errorf("name the corrected study, or --withdraw, one of the two")}
	}
	archive, err := readCapped(c.Dossier, dossier.MostPacked)
	if err != nil {
		return err
	}
	v, err := dossier.Verify(archive, dossier.Reader{Maker: maker()})
	if err != nil {
		return fmt.Errorf("%s: %w", c.Dossier, err)
	}
	if !v.Unchanged.Good {
		return &fault.Fault{Code: "E188", File: c.Dossier, What: "only a dossier as it was published can be corrected", Do: v.Unchanged.Text}
	}
	if c.Withdraw {
		return c.withdraw(s, v)
	}
	if c.Out == "" {
		c.Out = filepath.Join(c.Study, "published", "amendment-"+v.Manifest[:8])
	}
	earlier := dossier.StoredFindings(archive)
	return c.publisherFlags.run(ctx, s, c.Study, &dossier.Amendment{Manifest: v.Manifest, Date: v.Card.Published, Reason: c.Reason}, earlier)
}

// withdraw writes the withdrawal into the ledger and its entry to a file.
func (c amendCmd) withdraw(s streams, v *dossier.Verdict) error {
	keeper, key, release, err := c.mine(s)
	if err != nil {
		return err
	}
	defer release()
	book, err := keeper.Ledger(key.Public())
	if err != nil {
		return err
	}
	st, ok := book.Statement(v.Manifest)
	switch {
	case !ok:
		return &fault.Fault{Code: "E188", File: c.Dossier, What: "your ledger does not hold this dossier", Do: "Only its publisher can take it back."}
	case st.State == ledger.TakenOff:
		return &fault.Fault{Code: "E188", File: c.Dossier, What: fmt.Sprintf("it was withdrawn on %s", st.By.Date), Do: "There is nothing to do."}
	}
	day := c.Date
	if day == "" {
		day = today()
	}
	r := book.Append(ledger.Record{Date: day, Kind: ledger.Withdrawn, Study: v.Card.Study, Subject: v.Manifest, Text: c.Reason})
	entry, err := book.Entry(r.N, key)
	if err != nil {
		return err
	}
	out := filepath.Join(filepath.Dir(c.Dossier), "withdrawal.txt")
	if err := keeper.KeepLedger(book); err != nil {
		return err
	}
	if err := replace(out, entry); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Withdrawn: record %d of the ledger. Publish %s beside the dossier, which stays.\n", r.N, out)
	return err
}
