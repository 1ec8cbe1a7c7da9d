package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"telltale/dossier"
	"telltale/fault"
	"telltale/ledger"
	"telltale/publication"
	"telltale/report"
	"telltale/signature"
)

// publisherFlags are what publish and amend share.
type publisherFlags struct {
	Out            string  `help:"Folder for the files (default: the study folder's published)." placeholder:"DIR"`
	Yes            bool    `help:"Publish without asking; read the preview first."`
	Publisher      string  `help:"Who publishes: a name or a pen name (default: the holder of the key)." placeholder:"NAME"`
	License        string  `help:"What others may do with it." default:"CC-BY-4.0"`
	LicenseAddress string  `help:"Where the licence can be read." placeholder:"ADDRESS"`
	Summary        string  `help:"File with a summary in your own words; it is checked for claims without ground." placeholder:"FILE"`
	Date           string  `help:"Day of publication (default: today)." placeholder:"2026-08-20"`
	Level          float64 `help:"Level of the intervals." default:"0.95"`
	PDF            bool    `help:"Print report.pdf with an installed browser." default:"true" negatable:""`
	PNG            bool    `help:"Draw the pictures as PNG too; takes a second or two each."`
	NamesStay      bool    `help:"Publish although a wearer's name stands in a file; the wearer agreed."`
	keyFlags
}

// keyFlags say where the key is and how it opens.
type keyFlags struct {
	Keys           string `help:"Folder of your key, ledger and known keys (default: this user's settings)." placeholder:"DIR"`
	PassphraseFile string `help:"File whose first line is the passphrase of your key." placeholder:"FILE"`
}

type publishCmd struct {
	Study string `arg:"" help:"Study folder with study.yaml in it."`
	publisherFlags
}

// Run shows what would leave the machine and, when that is wanted, makes the files.
func (c publishCmd) Run(ctx context.Context, s streams) error {
	return c.publisherFlags.run(ctx, s, c.Study, nil, nil)
}

// maker is how this program computes and shows findings.
func maker() dossier.Maker { return dossier.Maker{Program: program(), Page: report.HTML} }

// run publishes a study, as a first statement or as a correction of an earlier one.
func (c publisherFlags) run(ctx context.Context, s streams, study string, amends *dossier.Amendment, earlier []byte) error {
	if err := checkLevel(c.Level); err != nil {
		return err
	}
	wish, err := c.wish(study)
	if err != nil {
		return err
	}
	wish.Amends, wish.Earlier = amends, earlier
	if c.Out == "" {
		c.Out = filepath.Join(study, "published")
	}
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return err
	}
	release, err := keeper.Lock()
	if err != nil {
		return err
	}
	defer release()
	key, isNew, err := c.open(s, keeper)
	if err != nil {
		return err
	}
	if wish.Publisher == "" {
		wish.Publisher = "the holder of key " + key.Public().ID()
	}
	book, err := keeper.Ledger(key.Public())
	if err != nil {
		return err
	}
	plan, err := publication.Prepare(wish, key.Public(), maker(), book)
	if err != nil {
		return err
	}
	draft, err := plan.Draft(key, book)
	if err != nil {
		return err
	}
	if err := preview(s, draft); err != nil {
		return err
	}
	if left := draft.NamesLeft(); len(left) > 0 && !c.NamesStay {
		return &fault.Fault{Code: "E189", What: "a wearer's name would leave the machine: " + strings.Join(left, "; "), Do: "Take it out of the file or its name, or add --names-stay if the wearer agreed."}
	}
	if !c.Yes && !asked(s) {
		_, err := fmt.Fprintln(s.out, "\nNothing was written and nothing has left this machine. To publish, answer yes or add --yes.")
		return err
	}
	sealed, err := plan.Seal(draft, key, book)
	if err != nil {
		return err
	}
	return c.keep(ctx, s, keeper, key, isNew, sealed, book)
}

// wish gathers what was asked for.
func (c publisherFlags) wish(study string) (publication.Wish, error) {
	w := publication.Wish{Publisher: c.Publisher, License: dossier.License{Name: c.License, Path: c.LicenseAddress}, Level: c.Level, Date: c.Date}
	if w.License.Path == "" && w.License.Name == "CC-BY-4.0" {
		w.License.Path = "https://creativecommons.org/licenses/by/4.0/"
	}
	if w.Date == "" {
		w.Date = time.Now().Format(time.DateOnly)
	}
	if c.Summary != "" {
		text, err := os.ReadFile(c.Summary)
		if err != nil {
			return w, missing(c.Summary, err)
		}
		w.Summary = strings.TrimSpace(string(text))
	}
	info, err := os.Stat(study)
	if err != nil {
		return w, missing(study, err)
	}
	if !info.IsDir() {
		return w, &fault.Fault{Code: "E303", File: study, What: "is not a folder", Do: "A study is a folder with study.yaml in it."}
	}
	root, err := os.OpenRoot(study)
	if err != nil {
		return w, missing(study, err)
	}
	w.Folder = root.FS()
	return w, nil
}

// open opens the key, or makes one in memory on first use.
func (c keyFlags) open(s streams, keeper publication.Keeper) (key signature.Key, isNew bool, err error) {
	made, locked, err := keeper.HasKey()
	switch {
	case err != nil:
		return key, false, err
	case !made:
		key, err = signature.New(rand.Reader)
		return key, true, err
	case !locked:
		key, err = keeper.Key("")
		return key, false, err
	}
	phrase, err := c.passphrase(s)
	if err != nil {
		return key, false, err
	}
	fmt.Fprintln(s.err, "Opening the key; this takes many seconds by intent.")
	key, err = keeper.Key(phrase)
	return key, false, err
}

// passphrase takes it from the named file, the environment, or the terminal.
func (c keyFlags) passphrase(s streams) (string, error) {
	if c.PassphraseFile != "" {
		text, err := os.ReadFile(c.PassphraseFile)
		if err != nil {
			return "", missing(c.PassphraseFile, err)
		}
		line, _, _ := strings.Cut(string(text), "\n")
		return strings.TrimSuffix(line, "\r"), nil
	}
	if v, ok := os.LookupEnv("TELLTALE_PASSPHRASE"); ok {
		return v, nil
	}
	fmt.Fprint(s.err, "Passphrase of the key (it shows as you type): ")
	line, err := bufio.NewReader(s.in).ReadString('\n')
	if err != nil && line == "" {
		return "", &fault.Fault{Code: "E184", What: "the key needs its passphrase", Do: "Name a file with --passphrase-file, or set TELLTALE_PASSPHRASE."}
	}
	return strings.TrimRight(line, "\r\n"), nil
}

// preview prints everything that would leave the machine, and what deserves a
// last look.
func preview(s streams, d *dossier.Draft) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "This would leave your machine, and cannot be called back:\n\n")
	looks := []string{}
	for _, x := range d.Leaving() {
		value := strings.Join(strings.Fields(x.Value), " ")
		fmt.Fprintf(&b, "  %s (%s): %s\n", x.Where, x.What, report.Clean(value))
		if x.Look != "" {
			looks = append(looks, fmt.Sprintf("  %s: %s", x.Where, x.Look))
		}
	}
	fmt.Fprintf(&b, "\nHow the respirators were obtained:\n")
	for _, o := range d.Card.Disclosure {
		fmt.Fprintf(&b, "  %s: %s\n", report.Clean(o.Name), report.Clean(o.How))
	}
	fmt.Fprintf(&b, "\nRuns started, and what became of them:\n")
	for _, r := range d.Card.Runs {
		fmt.Fprintf(&b, "  %s: %s\n", r.ID, strings.TrimSuffix(r.State+", "+report.Clean(r.Reason), ", "))
	}
	for _, c := range d.Claims() {
		looks = append(looks, fmt.Sprintf("  %q in %q: %s", c.Word, report.Clean(c.Sentence), c.Why))
	}
	looks = append(looks, d.NamesLeft()...)
	if len(looks) > 0 {
		fmt.Fprintf(&b, "\nLook at these once more:\n%s\n", strings.Join(looks, "\n"))
	}
	_, err := b.WriteTo(s.out)
	return err
}

// asked asks on the terminal and takes only yes for yes.
func asked(s streams) bool {
	fmt.Fprint(s.out, "\nPublish this? (yes/no) ")
	line, _ := bufio.NewReader(s.in).ReadString('\n')
	return strings.TrimSpace(line) == "yes"
}

// keep writes the key when it is new, the ledger, and the files: what is out has a
// record, and a file that could not be written is made again by the same command.
func (c publisherFlags) keep(ctx context.Context, s streams, keeper publication.Keeper, key signature.Key, isNew bool, sealed *publication.Sealed, book *ledger.Ledger) error {
	if isNew {
		if err := keeper.KeepKey(key, ""); err != nil {
			return err
		}
		fmt.Fprintf(s.err, "A key was made for you in %s; it has no passphrase (keys lock gives it one). Make a copy of it.\n", keeper.Dir())
	}
	if err := os.MkdirAll(c.Out, 0o777); err != nil {
		return cannotWrite(c.Out, err)
	}
	files := publication.Files(sealed, book)
	if err := keeper.KeepLedger(book); err != nil {
		return err
	}
	for _, f := range files {
		if err := replace(filepath.Join(c.Out, f.Name), f.Data); err != nil {
			return err
		}
	}
	printed, err := c.printed(ctx, s, sealed)
	if err != nil {
		return err
	}
	files = append(files, printed...)
	first := "Published"
	if sealed.Again {
		first = "Published before, the same bytes again"
	}
	fmt.Fprintf(s.out, "\n%s: record %d of the ledger, %s.\n", first, sealed.Record.N, sealed.Record.Date)
	fmt.Fprintf(s.out, "Your key's words, to read out on a recording:\n  %s\n", strings.Join(key.Public().Words(), " "))
	for _, f := range files {
		fmt.Fprintf(s.out, "  %s\n", filepath.Join(c.Out, f.Name))
	}
	return nil
}

// printed makes what needs a browser. A publication without it is whole: what
// could not be printed is said and left out.
func (c publisherFlags) printed(ctx context.Context, s streams, sealed *publication.Sealed) ([]dossier.File, error) {
	if !c.PDF && !c.PNG {
		return nil, nil
	}
	browser, ok := publication.FindBrowser()
	if !ok {
		fmt.Fprintln(s.err, "No browser (chromium) is installed, so report.pdf and pictures as PNG were not made; print report.html from any browser.")
		return nil, nil
	}
	files, troubles := publication.Printed(ctx, browser, sealed, c.PDF, c.PNG)
	for _, t := range troubles {
		fmt.Fprintf(s.err, "Not made: %v\n", t)
	}
	for _, f := range files {
		if err := replace(filepath.Join(c.Out, f.Name), f.Data); err != nil {
			return nil, err
		}
	}
	return files, nil
}
