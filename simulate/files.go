package simulate

import (
	"bytes"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

// Files is a folder held in memory: slash-separated path -> bytes. It is an
// fs.FS that cannot be written to, its files have no time, and its directories
// are those that its paths imply.
type Files map[string][]byte

// Open opens a file or a directory.
func (f Files) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if data, ok := f[name]; ok {
		return &openFile{info{path.Base(name), int64(len(data)), false}, bytes.NewReader(data)}, nil
	}
	if entries := f.list(name); len(entries) > 0 || name == "." {
		return &openDir{info{path.Base(name), 0, true}, entries, 0}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// Names lists the paths in order.
func (f Files) Names() []string {
	var out []string
	for name := range f {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// Bytes is the size of all files together.
func (f Files) Bytes() int {
	n := 0
	for _, data := range f {
		n += len(data)
	}
	return n
}

// list gives the entries of a directory in the order of their names.
func (f Files) list(dir string) []fs.DirEntry {
	prefix := dir + "/"
	if dir == "." {
		prefix = ""
	}
	var out []fs.DirEntry
	seen := map[string]bool{}
	for _, name := range f.Names() {
		rest, ok := strings.CutPrefix(name, prefix)
		if !ok {
			continue
		}
		child, _, deeper := strings.Cut(rest, "/")
		if seen[child] {
			continue
		}
		seen[child] = true
		entry := info{child, int64(len(f[name])), false}
		if deeper {
			entry = info{child, 0, true}
		}
		out = append(out, fs.FileInfoToDirEntry(entry))
	}
	slices.SortFunc(out, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return out
}

type info struct {
	name string
	size int64
	dir  bool
}

func (i info) Name() string       { return i.name }
func (i info) Size() int64        { return i.size }
func (i info) ModTime() time.Time { return time.Time{} }
func (i info) IsDir() bool        { return i.dir }
func (i info) Sys() any           { return nil }

func (i info) Mode() fs.FileMode {
	if i.dir {
		return fs.ModeDir | 0o555
	}
	return 0o444
}

type openFile struct {
	info
	*bytes.Reader
}

func (f *openFile) Stat() (fs.FileInfo, error) { return f.info, nil }
func (f *openFile) Close() error               { return nil }
func (f *openFile) Size() int64                { return f.info.size }

type openDir struct {
	info
	entries []fs.DirEntry
	next    int
}

func (d *openDir) Stat() (fs.FileInfo, error) { return d.info, nil }
func (d *openDir) Close() error               { return nil }

func (d *openDir) Read([]byte) (int, error) {
	return 0, &fs.PathError{Op: "read", Path: d.name, Err: fs.ErrInvalid}
}

func (d *openDir) ReadDir(n int) ([]fs.DirEntry, error) {
	rest := d.entries[d.next:]
	if n > 0 && len(rest) == 0 {
		return nil, io.EOF
	}
	if n > 0 && n < len(rest) {
		rest = rest[:n]
	}
	d.next += len(rest)
	return slices.Clone(rest), nil
}
