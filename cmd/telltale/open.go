package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"

	"telltale/fault"
	"telltale/record"
	"telltale/studyfile"
	"telltale/tracefile"
)

// openTrace reads a trace file, through a layout file where one is named.
func openTrace(path, layout string) (*record.Trace, error) {
	var l *tracefile.Layout
	if layout != "" {
		f, err := open(layout)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		if l, err = tracefile.ReadLayout(layout, f); err != nil {
			return nil, err
		}
	}
	f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return tracefile.Read(path, f, l)
}

// open opens a file for reading and words the usual troubles.
func open(path string) (*os.File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, missing(path, err)
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, &fault.Fault{Code: "E301", File: path, What: "is a folder, not a file", Do: "Name a file in it; a study folder goes to the command report."}
	}
	return f, nil
}

func missing(path string, err error) error {
	f := &fault.Fault{Code: "E302", File: path, What: "cannot be opened", Err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.What, f.Do = "does not exist", "Check the spelling and the folder you stand in."
	case errors.Is(err, fs.ErrPermission):
		f.What, f.Do = "may not be read", "Ask for the right to read it."
	default:
		f.Do = err.Error() + "."
	}
	return f
}

// openStudy reads a study folder with its traces.
func openStudy(dir string) (*record.Study, error) {
	info, err := os.Stat(dir)
	if err != nil {
		return nil, missing(dir, err)
	}
	if !info.IsDir() {
		return nil, &fault.Fault{Code: "E303", File: dir, What: "is not a folder", Do: "A study is a folder with study.yaml in it; a single trace goes to the command fit."}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, missing(dir, err)
	}
	defer root.Close()
	return readStudy(root.FS())
}

// readStudy reads a study from any file system.
func readStudy(files fs.FS) (*record.Study, error) {
	study, err := studyfile.Read(files, studyfile.Options{ReadTrace: readTrace, Join: tracefile.Join})
	if err != nil {
		return nil, err
	}
	return study, marksOfStudy(study)
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

// writeJSON writes v as indented JSON and a line end.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
