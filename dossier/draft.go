package dossier

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"io/fs"

	"telltale/fault"
	"telltale/finding"
	"telltale/record"
	"telltale/studyfile"
	"telltale/tracefile"
)

// Maker says how findings are computed and shown. Page may be nil; then a dossier
// has no page, and the page of one that is checked is not compared.
type Maker struct {
	Program finding.Program
	Page    func(io.Writer, *finding.Findings, *record.Study) error
}

// Draft is a dossier that nobody has signed yet.
type Draft struct {
	Card     Card
	Findings *finding.Findings
	Study    *record.Study
	Renamed  map[string]string // wearers whose name became a code
	files    []File            // all that the manifest lists
}

// Make builds a draft from a study folder. The card brings publisher, key, date,
// licence, summary and, for a correction, what it amends; the rest is filled in.
// Level 0 is 0.95. The same folder, card and maker give the same draft.
func Make(folder fs.FS, card Card, m Maker) (*Draft, error) {
	seen, err := readStudy(folder)
	if err != nil {
		return nil, err
	}
	d := &Draft{}
	seen, d.Renamed = coded(seen)
	facts, err := factsOf(folder, seen)
	if err != nil {
		return nil, err
	}
	if d.Study, err = readFacts(facts); err != nil { // what is signed is what is recomputed
		return nil, fmt.Errorf("read the facts again: %w", err)
	}
	if card.Level == 0 {
		card.Level = 0.95
	}
	d.Findings = finding.Of(d.Study, finding.Options{Level: card.Level, Program: m.Program})
	d.Card = filled(card, d.Findings, len(d.Renamed))
	if err := d.Card.check(); err != nil {
		return nil, err
	}
	if refused := refusedIn(d.Card.Summary); refused != nil {
		return nil, refused
	}
	d.files = append(facts,
		File{keyName, []byte(keyFile(d.Card.Key))},
		File{findingsName, encode(d.Findings)},
		File{referenceName, encode(referenceOf(d.Findings))},
		File{summaryName, summaryText(d.Card, d.Findings)},
		File{readmeName, readme(d.Card)})
	if m.Page != nil {
		var page bytes.Buffer
		if err := m.Page(&page, d.Findings, d.Study); err != nil {
			return nil, fmt.Errorf("draw the report: %w", err)
		}
		d.files = append(d.files, File{pageName, page.Bytes()})
	}
	d.files = append(d.files, File{cardName, encode(d.Card)})
	d.files = append(d.files, File{packageName, dataPackage(d.Card, d.files)})
	d.files = append(d.files, File{crateName, crate(d.Card, d.files)})
	byName(d.files)
	return d, nil
}

// Manifest is what is to be signed.
func (d *Draft) Manifest() []byte { return manifest(d.files) }

// Files are the files that the manifest lists.
func (d *Draft) Files() []File { return d.files }

// Seal gives the archive with the signature of the manifest and, when there is a
// ledger, its entry for this dossier.
func (d *Draft) Seal(signature, entry []byte) []byte {
	all := []File{{manifestName, d.Manifest()}, {signatureName, signature}}
	if entry != nil {
		all = append(all, File{entryName, entry})
	}
	return pack(append(all, d.files...))
}

// Comment is what a signature of the manifest says beside it.
func (d *Draft) Comment() string { return comment(d.Card) }

func comment(c Card) string {
	return "telltale dossier, " + c.Published + ", " + short(oneLine(c.Publisher)) + ": " + short(oneLine(c.Study))
}

// readStudy reads a study with its traces.
func readStudy(folder fs.FS) (*record.Study, error) {
	return studyfile.Read(folder, studyfile.Options{ReadTrace: readTrace, Join: tracefile.Join})
}

func readTrace(name string, r io.Reader, layout []byte) (*record.Trace, error) {
	var l *tracefile.Layout
	if len(layout) > 0 {
		var err error
		if l, err = tracefile.ReadLayout("layout of "+name, bytes.NewReader(layout)); err != nil {
			return nil, err
		}
	}
	return tracefile.Read(name, r, l)
}

// factsOf gives the files of a study as they are published: study.yaml in its one
// form, without comments, and all files it names byte by byte.
func factsOf(folder fs.FS, s *record.Study) ([]File, error) {
	written, err := studyfile.Write(s)
	if err != nil {
		return nil, err
	}
	var out []File
	have := map[string]bool{}
	for _, f := range written {
		out = append(out, File{factsFolder + f.Path, f.Data})
		have[f.Path] = true
	}
	listed, err := studyfile.Files(folder)
	if err != nil {
		return nil, err
	}
	for _, f := range listed {
		if have[f.Path] {
			continue
		}
		data, err := fs.ReadFile(folder, f.Path)
		if err != nil || digest(data) != f.SHA256 {
			return nil, &fault.Fault{Code: "E172", File: f.Path, What: "changed while it was read", Do: "Publish again when nothing writes to the folder.", Err: err}
		}
		out = append(out, File{factsFolder + f.Path, data})
	}
	for _, f := range out {
		if why := badName(f.Name); why != "" {
			return nil, &fault.Fault{Code: "E161", File: f.Name, What: "its name " + why, Do: "Rename it, in study.yaml too: letters, digits, points, dashes and blanks read the same everywhere."}
		}
		if bytes.HasPrefix(f.Data, []byte("PK\x03\x04")) {
			return nil, tooLarge(f.Name, "is an archive inside the archive")
		}
	}
	byName(out)
	return out, nil
}

// readFacts reads the study out of the files of a dossier.
func readFacts(files []File) (*record.Study, error) {
	var facts []File
	for _, f := range files {
		if len(f.Name) > len(factsFolder) && f.Name[:len(factsFolder)] == factsFolder {
			facts = append(facts, File{f.Name[len(factsFolder):], f.Data})
		}
	}
	packed := pack(facts)
	r, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		panic("dossier: " + err.Error()) // it was packed just now
	}
	return readStudy(r)
}
