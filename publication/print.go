package publication

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"time"
)

// Browser is an installed browser that prints pages and pictures without a window.
type Browser struct{ path string }

// FindBrowser looks for one; false when none is installed.
func FindBrowser() (Browser, bool) {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return Browser{path}, true
		}
	}
	return Browser{}, false
}

// patience is how long a browser may take for one page.
const patience = 60 * time.Second

// run starts the browser in a folder of its own, without network, and gives the
// file it made.
func (b Browser) run(ctx context.Context, page []byte, pageName, outName string, args ...string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "telltale-print-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if err := os.WriteFile(filepath.Join(dir, pageName), page, 0o600); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	all := append([]string{"--headless", "--disable-gpu", "--no-first-run", "--disable-extensions", "--disable-dev-shm-usage", "--hide-scrollbars",
		"--host-resolver-rules=MAP * ~NOTFOUND", "--user-data-dir=" + filepath.Join(dir, "profile")}, args...)
	if os.Geteuid() == 0 {
		all = append(all, "--no-sandbox") // a browser refuses its sandbox to the superuser
	}
	cmd := exec.CommandContext(ctx, b.path, append(all, "file://"+filepath.Join(dir, pageName))...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "TZ=UTC", "LANG=C.UTF-8")
	var said bytes.Buffer
	cmd.Stderr = &said
	cmd.WaitDelay = time.Second
	runErr := cmd.Run()
	data, err := os.ReadFile(filepath.Join(dir, outName))
	if err != nil || len(data) == 0 {
		return nil, fmt.Errorf("the browser made no %s: %v: %s", outName, runErr, tail(said.Bytes()))
	}
	return data, nil
}

func tail(b []byte) []byte {
	if len(b) > 400 {
		return b[len(b)-400:]
	}
	return b
}

// PDF prints a page. The time of printing is replaced by the day of publication,
// so that the same page gives the same bytes with the same browser.
func (b Browser) PDF(ctx context.Context, page []byte, day string) ([]byte, error) {
	data, err := b.run(ctx, page, "report.html", "report.pdf", "--no-pdf-header-footer", "--print-to-pdf=report.pdf")
	if err != nil {
		return nil, err
	}
	return dated(data, day), nil
}

var printTime = regexp.MustCompile(`/(?:CreationDate|ModDate) \(D:[0-9]{14}[^)]{0,10}\)`)

// dated puts a day in place of the times in a PDF, byte for byte, so that the
// offsets in the file still hold.
func dated(pdf []byte, day string) []byte {
	when, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return pdf
	}
	stamp := when.Format("20060102150405")
	return printTime.ReplaceAllFunc(pdf, func(m []byte) []byte {
		at := bytes.Index(m, []byte("(D:")) + 3
		return append(append(append([]byte{}, m[:at]...), stamp...), m[at+len(stamp):]...)
	})
}

// PNG draws an SVG picture of a size in pixels.
func (b Browser) PNG(ctx context.Context, svg []byte, width, height int) ([]byte, error) {
	page := append([]byte(`<!doctype html><meta charset="utf-8"><style>*{margin:0}svg{display:block}</style>`), svg...)
	return b.run(ctx, page, "picture.html", "picture.png", fmt.Sprintf("--window-size=%d,%d", width, height), "--screenshot=picture.png")
}
