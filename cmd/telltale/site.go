package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"telltale/dossier"
	"telltale/ledger"
	"telltale/publication"
	"telltale/report"
)

type siteCmd struct {
	Folder string   `arg:"" help:"Folder with dossiers; folders in it are searched too."`
	Out    string   `help:"Folder for the site; any web server can hand it out." default:"out/site" placeholder:"DIR"`
	Ledger []string `help:"A publisher's ledger, to see what was withdrawn; may be given several times." placeholder:"FILE"`
	Title  string   `help:"Title of the site." default:"Respirators, measured and published" placeholder:"WORDS"`
}

// Run opens all dossiers, computes their figures anew, and writes a page that
// compares them, with the report and the archive of each.
func (c siteCmd) Run(ctx context.Context, s streams) error {
	paths, err := archives(c.Folder)
	if err != nil {
		return err
	}
	books, err := c.ledgers()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(c.Out, 0o777); err != nil {
		return cannotWrite(c.Out, err)
	}
	all := make([]*publication.Shown, len(paths))
	errs := make([]error, len(paths))
	var wait sync.WaitGroup
	var done atomic.Int64
	var say sync.Mutex
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := range next {
				all[i], errs[i] = c.one(paths[i], books)
				say.Lock()
				fmt.Fprintf(s.err, "%d of %d: %s\n", done.Add(1), len(paths), paths[i])
				if errs[i] != nil {
					fmt.Fprintf(s.err, "  left out: %s\n", message(errs[i]))
				}
				say.Unlock()
			}
		})
	}
	for i := range paths {
		if ctx.Err() != nil {
			break
		}
		next <- i
	}
	close(next)
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	return c.index(s, all)
}

// index writes the page over all dossiers that could be opened, each once.
func (c siteCmd) index(s streams, all []*publication.Shown) error {
	var shown []publication.Shown
	seen := map[string]bool{}
	for _, x := range all {
		if x != nil && !seen[x.File] {
			seen[x.File] = true
			shown = append(shown, *x)
		}
	}
	page, err := publication.Site(c.Title, shown)
	if err != nil {
		return err
	}
	path := filepath.Join(c.Out, "index.html")
	if err := replace(path, page); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "%d dossiers: %s\n", len(shown), path)
	return err
}

// one opens a dossier and writes its archive and its recomputed report.
func (c siteCmd) one(path string, books []*ledger.Ledger) (*publication.Shown, error) {
	data, err := readCapped(path, dossier.MostPacked)
	if err != nil {
		return nil, err
	}
	v, err := dossier.Verify(data, dossier.Reader{Maker: maker()})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	name := strings.ToLower(v.Manifest[:16])
	if err := replace(filepath.Join(c.Out, name+".zip"), data); err != nil {
		return nil, err
	}
	shown := &publication.Shown{File: name + ".zip", Page: name + ".html", Verdict: v}
	if v.Findings != nil {
		var page bytes.Buffer
		if err := report.HTML(&page, v.Findings, v.Study); err != nil {
			return nil, err
		}
		if err := replace(filepath.Join(c.Out, shown.Page), page.Bytes()); err != nil {
			return nil, err
		}
	}
	for _, b := range books {
		if st, ok := b.Statement(v.Manifest); ok && st.By != nil {
			shown.State = fmt.Sprintf("%s on %s: %s", st.State, st.By.Date, report.Clean(st.By.Text))
		}
	}
	v.Study = nil // its traces are not needed any more
	return shown, nil
}

// ledgers reads the named ledgers.
func (c siteCmd) ledgers() (out []*ledger.Ledger, err error) {
	for _, path := range c.Ledger {
		text, err := readCapped(path, dossier.MostPacked)
		if err != nil {
			return nil, err
		}
		l, err := ledger.Read(text)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		out = append(out, l)
	}
	return out, nil
}
