package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"telltale/dossier"
	"telltale/ledger"
	"telltale/publication"
	"telltale/report"
)

type statementsCmd struct {
	List      statementsListCmd `cmd:"" default:"withargs" help:"List all published statements and what became of them."`
	Add       statementsAddCmd  `cmd:"" help:"Write into the ledger: a run was started or given up, a reference check, a rule."`
	Recompute recomputeCmd      `cmd:"" help:"Recompute all dossiers of a folder by today's rules and list which would change."`
}

type statementsListCmd struct {
	keyFlags
	Out  string `help:"Folder for the page of statements, the ledger and its signed checkpoint." placeholder:"DIR"`
	JSON bool   `help:"Print the statements as JSON alone."`
}

// Run lists the statements and, where a folder is named, writes what a publisher
// puts on a page.
func (c statementsListCmd) Run(s streams) error {
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return err
	}
	p, err := keeper.Public()
	if err != nil {
		return err
	}
	book, err := keeper.Ledger(p)
	if err != nil {
		return err
	}
	if c.Out != "" {
		if err := c.write(s, keeper, book); err != nil {
			return err
		}
	}
	if c.JSON {
		return writeJSON(s.out, book.Statements())
	}
	rows := [][]string{{"record", "published", "state", "study", "manifest"}}
	for _, st := range book.Statements() {
		state := string(st.State)
		if st.By != nil {
			state += " " + st.By.Date + ": " + report.Clean(st.By.Text)
		}
		rows = append(rows, []string{strconv.FormatInt(st.Record.N, 10), st.Record.Date, state, report.Clean(st.Record.Study), st.Record.Subject[:min(12, len(st.Record.Subject))]})
	}
	if err := report.Columns(s.out, rows, "rllll"); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "\n%s", book.At(book.Size()))
	return err
}

func (c statementsListCmd) write(s streams, keeper publication.Keeper, book *ledger.Ledger) error {
	key, _, err := c.open(s, keeper)
	if err != nil {
		return err
	}
	checkpoint := book.At(book.Size()).Signed(key)
	page, err := publication.StatementsPage(book, checkpoint)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(c.Out, 0o777); err != nil {
		return cannotWrite(c.Out, err)
	}
	for name, data := range map[string][]byte{"statements.html": page, "ledger.txt": book.Bytes(), "checkpoint.txt": checkpoint} {
		if err := replace(filepath.Join(c.Out, name), data); err != nil {
			return err
		}
	}
	return nil
}

type statementsAddCmd struct {
	Kind    string `arg:"" enum:"started,abandoned,reference,rule" help:"started, abandoned, reference or rule."`
	Subject string `arg:"" help:"The run's id in the study, or the rule's version."`
	Study   string `help:"Title of the study, as in study.yaml; needed for runs." placeholder:"TITLE"`
	Text    string `help:"A word on it, such as why a run was given up." placeholder:"WORDS"`
	Date    string `help:"Day (default: today)." placeholder:"2026-08-20"`
	keyFlags
}

// Run adds a record.
func (c statementsAddCmd) Run(s streams) error {
	if c.Study == "" && c.Kind != string(ledger.Rule) {
		return usage{fmt.Errorf("--study is missing: of which study is %s?", c.Subject)}
	}
	keeper, key, release, err := c.mine(s)
	if err != nil {
		return err
	}
	defer release()
	book, err := keeper.Ledger(key.Public())
	if err != nil {
		return err
	}
	if c.Date == "" {
		c.Date = today()
	}
	r := book.Append(ledger.Record{Date: c.Date, Kind: ledger.Kind(c.Kind), Study: c.Study, Subject: c.Subject, Text: c.Text})
	if err := keeper.KeepLedger(book); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Record %d: %s %s.\n", r.N, c.Kind, report.Clean(c.Subject))
	return err
}

type recomputeCmd struct {
	Folder string `arg:"" help:"Folder with dossiers; folders in it are searched too."`
	JSON   bool   `help:"Print the list as JSON alone."`
}

// recomputed is what became of one dossier.
type recomputed struct {
	File    string   `json:"file"`
	Study   string   `json:"study"`
	State   string   `json:"state"`
	Text    string   `json:"text"`
	Changes []string `json:"changes"`
}

// Run recomputes dossier by dossier, with progress.
func (c recomputeCmd) Run(s streams) error {
	paths, err := archives(c.Folder)
	if err != nil {
		return err
	}
	all := []recomputed{}
	for i, path := range paths {
		fmt.Fprintf(s.err, "%d of %d: %s\n", i+1, len(paths), path)
		r := recomputed{File: path, Changes: []string{}}
		data, err := readCapped(path, dossier.MostPacked)
		if err != nil {
			return err
		}
		if v, err := dossier.Verify(data, dossier.Reader{Maker: maker()}); err != nil {
			r.State, r.Text = "unreadable", err.Error()
		} else {
			r.State, r.Text, r.Changes = v.Recomputed.State, v.Recomputed.Text, v.Recomputed.Details
			if v.Card != nil {
				r.Study = v.Card.Study
			}
		}
		all = append(all, r)
	}
	if c.JSON {
		return writeJSON(s.out, all)
	}
	for _, r := range all {
		fmt.Fprintf(s.out, "%s (%s)\n  %s\n", r.File, report.Clean(r.Study), report.Clean(r.Text))
		for n, d := range r.Changes {
			if n == 10 {
				fmt.Fprintf(s.out, "  - ... and %d more\n", len(r.Changes)-n)
				break
			}
			fmt.Fprintf(s.out, "  - %s\n", report.Clean(d))
		}
	}
	return nil
}

// archives lists the zip files under a folder, in order.
func archives(folder string) (out []string, err error) {
	if _, err := os.Stat(folder); err != nil {
		return nil, missing(folder, err)
	}
	err = filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() && strings.HasSuffix(strings.ToLower(path), ".zip") {
			out = append(out, path)
		}
		return err
	})
	return out, err
}
