// Package studyfile answers: what does this study folder hold?
//
// A study is a folder of plain files with study.yaml at its head (format
// telltale-study/1, docs/formats.md). Read takes the whole folder or nothing:
// every fault of the file is found in one go, each with its line, its byte and
// what to do. The package assumes that the folder does not change while it is
// read. It refuses whatever it does not know, and every path that could leave
// the folder; a file system that follows links out of the folder is the
// caller's to avoid (os.Root refuses them).
package studyfile

import (
	"io"
	"io/fs"
	"slices"
	"strings"

	"telltale/fault"
	"telltale/record"
)

// Name is the file at the head of a study folder.
const Name = "study.yaml"

// Format is the first word of a study.yaml.
const Format = "telltale-study/1"

// The largest files that are read, in bytes.
const (
	MaxStudy = 1 << 20  // study.yaml
	MaxPaper = 1 << 20  // a marks file or a layout
	MaxTrace = 64 << 20 // a trace, which is held in memory; its reader may ask for less
)

// TraceReader reads the trace in r, which the study calls name. Layout holds the
// bytes of its layout file, nil without one.
type TraceReader func(name string, r io.Reader, layout []byte) (*record.Trace, error)

// TraceJoiner makes one trace of the room's and the mask's, each recorded by a
// counter of its own.
type TraceJoiner func(room, mask *record.Trace) (*record.Trace, error)

// Options say how the traces of a study are read; both are needed.
type Options struct {
	ReadTrace TraceReader
	Join      TraceJoiner
}

// Read reads the study in the folder fsys with all its files. What a person can
// mend comes back as a fault.List, those of study.yaml first in the order of
// their lines; the study is then nil.
func Read(fsys fs.FS, opts Options) (*record.Study, error) {
	if opts.ReadTrace == nil || opts.Join == nil {
		panic("studyfile: Read needs a reader of traces and a joiner")
	}
	r, err := parse(fsys)
	if err != nil {
		return nil, err
	}
	r.loadPapers(fsys)
	r.loadTraces(fsys, opts)
	if err := r.result(); err != nil {
		return nil, err
	}
	return &r.study, nil
}

// parse reads study.yaml alone. Its error means that nothing could be read; the
// faults of a file that could be read are in the reader.
func parse(fsys fs.FS) (*reader, error) {
	text, f := readFile(fsys, Name, MaxStudy)
	if f != nil {
		f.File = Name
		if f.Code == missingFile {
			f.Code, f.What = "E202", "there is no study.yaml in this folder"
			f.Do = "Name the folder that holds study.yaml; docs/formats.md shows how to write one."
		}
		return nil, fault.List{f}
	}
	return parseText(text)
}

// parseText reads the text of a study.yaml without looking at other files.
func parseText(text []byte) (*reader, error) {
	r := &reader{ids: map[string]*register{}, papers: map[string]record.Paper{}}
	root := r.root(text)
	if root == nil {
		return nil, r.result()
	}
	r.readStudy(root)
	return r, nil
}

// reader holds what was read so far and what was wrong with it.
type reader struct {
	lines  []string // of study.yaml
	faults fault.List
	ids    map[string]*register // by noun
	study  record.Study

	paperUses []paperUse
	traceUses []traceUse
	papers    map[string]record.Paper // by path, once loaded
}

// result is nil, or the faults: those of study.yaml by line, then the others in
// the order they were met.
func (r *reader) result() error {
	slices.SortStableFunc(r.faults, func(a, b *fault.Fault) int {
		switch {
		case a.File != b.File && a.File == Name:
			return -1
		case a.File != b.File && b.File == Name:
			return 1
		case a.File != Name:
			return 0
		case a.Line != b.Line:
			return a.Line - b.Line
		}
		return a.Col - b.Col
	})
	return r.faults.Or()
}

// readStudy reads the sections in the order in which they lean on each other,
// whatever their order in the file.
func (r *reader) readStudy(root node) {
	o := r.object(root, "the study", "format", "title", "wearers", "counters", "respirators", "wearings", "checks", "holders")
	if o.broken {
		return
	}
	o.format()
	r.study.Title = o.text("title")
	for i, n := range o.list("wearers") {
		r.study.Wearers = append(r.study.Wearers, r.wearer(n, i))
	}
	for i, n := range o.list("counters") {
		r.study.Counters = append(r.study.Counters, r.counter(n, i))
	}
	for i, n := range o.list("respirators") {
		r.study.Respirators = append(r.study.Respirators, r.respirator(n, i))
	}
	wearings := o.list("wearings")
	for i, n := range wearings {
		r.study.Wearings = append(r.study.Wearings, r.wearing(n, i))
	}
	r.donnings(wearings)
	for i, n := range o.list("checks") {
		r.study.Checks = append(r.study.Checks, r.check(n, i))
	}
	for i, n := range o.list("holders") {
		r.study.Holders = append(r.study.Holders, r.holder(n, i))
	}
}

func (o object) format() {
	n, ok := o.value("format")
	switch {
	case !ok:
		o.r.add("E206", o.node, "format is missing", "Begin the file with the line: format: "+Format)
	case n.Value != Format && strings.HasPrefix(n.Value, "telltale-study/"):
		o.r.add("E206", n, "format "+quote(n.Value)+" is not one this version reads", "This version reads "+Format+".")
	case n.Value != Format:
		o.r.add("E206", n, "format "+quote(n.Value)+" is not known", "Write: format: "+Format)
	}
}
