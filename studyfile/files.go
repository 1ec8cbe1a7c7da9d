package studyfile

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"telltale/fault"
	"telltale/record"
)

// File is one file of a study folder.
type File struct {
	Path   string // from the folder, with /
	SHA256 string // of its bytes, lower-case hex
	Bytes  int64
	Data   []byte // the bytes themselves from Write; nil from Files
}

// Files lists study.yaml and every file it names, by path, with their digests.
// It asks for the same form as Read, but does not look into the traces. Faults
// come back as a fault.List.
func Files(fsys fs.FS) ([]File, error) {
	r, err := parse(fsys)
	if err != nil {
		return nil, err
	}
	named := map[string]bool{}
	out := []File{}
	take := func(n node, what, path string, limit int64) {
		if path == "" || named[path] {
			return
		}
		named[path] = true
		if data, ok := r.load(fsys, n, what, path, limit); ok {
			out = append(out, File{Path: path, SHA256: digest(data), Bytes: int64(len(data))})
		}
	}
	take(nil, "", Name, MaxStudy)
	for _, u := range r.paperUses {
		take(u.node, u.what, u.path, MaxPaper)
	}
	for _, u := range r.traceUses {
		take(u.node, u.who+": trace", u.one, MaxTrace)
		take(u.ambientNode, u.who+": ambient trace", u.ambient, MaxTrace)
		take(u.maskNode, u.who+": inside trace", u.mask, MaxTrace)
	}
	if err := r.result(); err != nil {
		return nil, err
	}
	slices.SortFunc(out, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	return out, nil
}

// The codes of files that cannot be had.
const (
	missingFile = "E231"
	unreadable  = "E232"
)

// readFile reads a plain file of at most limit bytes. Its fault has no place yet.
func readFile(fsys fs.FS, name string, limit int64) ([]byte, *fault.Fault) {
	notPlain := &fault.Fault{Code: unreadable, What: "is not a plain file", Do: "Name a file, not a folder or a device."}
	if info, err := fs.Stat(fsys, name); err == nil && !info.Mode().IsRegular() {
		return nil, notPlain // to open a pipe would wait for ever
	}
	f, err := fsys.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &fault.Fault{Code: missingFile, What: "is not in the study folder", Do: nearestFile(fsys, name), Err: err}
	}
	if err != nil {
		return nil, &fault.Fault{Code: unreadable, What: "cannot be opened", Do: "Look at its access rights, and whether it is a link that leaves the folder.", Err: err}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return nil, notPlain
	}
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, &fault.Fault{Code: unreadable, What: "cannot be read to its end", Do: "Copy it anew.", Err: err}
	}
	if int64(len(data)) > limit {
		return nil, &fault.Fault{Code: unreadable, What: fmt.Sprintf("is larger than %d MiB", limit>>20), Do: "Look whether it is the right file."}
	}
	return data, nil
}

// nearestFile names the file that may have been meant.
func nearestFile(fsys fs.FS, name string) string {
	dir, base := path.Split(name)
	dir = path.Clean(dir)
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		return fmt.Sprintf("There is no folder %s in it.", dir)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if near, ok := fault.Nearest(base, names); ok {
		return fmt.Sprintf("Did you mean %q?", path.Join(dir, near))
	}
	return "Put the file there, or mend its name; letters count as they are, large and small."
}

// load reads a file that the study names at n.
func (r *reader) load(fsys fs.FS, n node, what, name string, limit int64) ([]byte, bool) {
	data, f := readFile(fsys, name, limit)
	switch {
	case f == nil:
		return data, true
	case n == nil:
		f.File, f.What = Name, name+" "+f.What
	default:
		f.What = fmt.Sprintf("%s %s %s", what, quote(name), f.What)
		r.at(n, f)
	}
	r.faults = append(r.faults, f)
	return nil, false
}

// loadPapers reads the marks files and layouts, each once.
func (r *reader) loadPapers(fsys fs.FS) {
	for _, u := range r.paperUses {
		p, known := r.papers[u.path]
		if !known {
			data, ok := r.load(fsys, u.node, u.what, u.path, MaxPaper)
			if !ok {
				continue
			}
			p = record.Paper{Path: u.path, SHA256: digest(data), Data: data}
			r.papers[u.path] = p
		}
		u.set(p)
	}
}

// loadTraces reads every trace.
func (r *reader) loadTraces(fsys fs.FS, opts Options) {
	l := loader{r, fsys, opts, map[string][]traceUse{}}
	for _, u := range r.traceUses {
		if t := l.trace(u); t != nil {
			u.set(t)
		}
	}
}

// loader reads traces and remembers by digest who used which.
type loader struct {
	*reader
	fsys fs.FS
	opts Options
	seen map[string][]traceUse
}

func (l loader) trace(u traceUse) *record.Trace {
	layouts, ok := l.layouts(u)
	if !ok {
		return nil
	}
	if u.one != "" {
		data, ok := l.load(l.fsys, u.node, u.who+": trace", u.one, MaxTrace)
		if !ok || l.twice(u, u.one, data) {
			return nil
		}
		return l.read(u, u.one, data, layouts[0])
	}
	room, okA := l.load(l.fsys, u.ambientNode, u.who+": ambient trace", u.ambient, MaxTrace)
	mask, okM := l.load(l.fsys, u.maskNode, u.who+": inside trace", u.mask, MaxTrace)
	if !okA || !okM || l.twice(u, u.mask, mask) {
		return nil
	}
	if bytes.Equal(room, mask) {
		l.add("E123", u.node, fmt.Sprintf("%s: %s and %s are the same, byte for byte", u.who, u.ambient, u.mask), "Name the file of the room as ambient, that of the mask as inside.")
		return nil
	}
	a, b := l.read(u, u.ambient, room, layouts[0]), l.read(u, u.mask, mask, layouts[1])
	if a == nil || b == nil {
		return nil
	}
	t, err := l.opts.Join(a, b)
	if err != nil {
		l.collect(u, u.ambient+" and "+u.mask, err)
		return nil
	}
	t.Parts = []record.Part{{Path: u.ambient, SHA256: digest(room), Bytes: int64(len(room))}, {Path: u.mask, SHA256: digest(mask), Bytes: int64(len(mask))}}
	return t
}

// layouts gives the bytes of the layouts of a trace, that of the room first. Its
// own layout goes before that of its counters.
func (l loader) layouts(u traceUse) ([2][]byte, bool) {
	paths := [2]string{u.own, u.own}
	for i := range paths {
		if u.own != "" || len(u.counters) == 0 {
			break
		}
		if c, ok := l.study.Counter(u.counters[min(i, len(u.counters)-1)]); ok {
			paths[i] = c.Layout.Path
		}
	}
	if u.one != "" && paths[0] != paths[1] {
		l.add("E233", u.node, u.who+": one trace of two counters whose layouts differ", "Write a layout beside the trace.")
		return [2][]byte{}, false
	}
	a, okA := l.papers[paths[0]]
	b, okB := l.papers[paths[1]]
	return [2][]byte{a.Data, b.Data}, (okA || paths[0] == "") && (okB || paths[1] == "")
}

// twice tells of a trace that another run has already. Two checks may share one
// if they look at different things.
func (l loader) twice(u traceUse, name string, data []byte) bool {
	sum := digest(data)
	for _, other := range l.seen[sum] {
		if u.check != "" && other.check != "" && u.check != other.check {
			continue
		}
		l.add("E123", u.node, fmt.Sprintf("%s has the trace of %s, byte for byte: %s and %s", u.who, other.who, name, other.one+other.mask),
			"One of them names the wrong file: a run has one trace, and a trace one run.")
		return true
	}
	l.seen[sum] = append(l.seen[sum], u)
	return false
}

func (l loader) read(u traceUse, name string, data, layout []byte) *record.Trace {
	t, err := l.opts.ReadTrace(name, bytes.NewReader(data), layout)
	if err != nil {
		l.collect(u, name, err)
		return nil
	}
	return t
}

// collect takes over the faults of a trace, with their own places.
func (l loader) collect(u traceUse, name string, err error) {
	var list fault.List
	var one *fault.Fault
	switch {
	case errors.As(err, &list):
		l.faults = append(l.faults, list...)
	case errors.As(err, &one):
		l.faults = append(l.faults, one)
	default:
		l.faults = append(l.faults, l.at(u.node, &fault.Fault{Code: "E234", What: fmt.Sprintf("%s: the trace %s cannot be read: %v", u.who, name, err), Do: "Look into the file.", Err: err}))
	}
}

func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
