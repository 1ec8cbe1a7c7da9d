package main

import (
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// The page is built, served from a folder, and opened in a browser without a
// window, once for each vector of package dossier. TELLTALE_BROWSER=1 asks for it;
// make slow does.
func TestTheVerifierAnswersInABrowser(t *testing.T) {
	if os.Getenv("TELLTALE_BROWSER") == "" {
		t.Skip("builds the page and opens a browser a dozen times; set TELLTALE_BROWSER=1")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal("chromium is not installed (Debian: apt-get install chromium)")
	}
	dir := built(t)
	vectors := "../../dossier/testdata/vectors"
	if err := os.CopyFS(dir, os.DirFS(vectors)); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(dir)))
	defer server.Close()
	var all []struct {
		File, Code, Unchanged, Key, Ledger, Runs string
		Altered                                  bool `json:"figures_altered"`
	}
	raw, err := os.ReadFile(filepath.Join(vectors, "expected.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, &all); err != nil || len(all) < 11 {
		t.Fatal(err, len(all))
	}
	for _, v := range all {
		page := opened(t, browser, server.URL+"/index.html?dossier="+v.File)
		var states []string
		for _, m := range regexp.MustCompile(`data-state="([a-z_]*)"`).FindAllStringSubmatch(page, -1) {
			states = append(states, m[1])
		}
		switch {
		case v.Code != "":
			if !strings.Contains(page, "It cannot be opened as a dossier: "+v.Code) {
				t.Errorf("%s: no %s on the page", v.File, v.Code)
			}
		case len(states) != 5 || !slices.Equal([]string{states[0], states[1], states[2], states[4]}, []string{v.Unchanged, v.Key, v.Ledger, v.Runs}) ||
			v.Altered && states[3] != "figures_differ":
			t.Errorf("%s: %q, want %+v", v.File, states, v)
		}
	}
}

// built makes the folder that the Makefile's verifier target makes.
func built(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	cmd := exec.Command("go", "build", "-o", filepath.Join(dir, "check.wasm"), ".")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	shim, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib/wasm/wasm_exec.js"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "wasm_exec.js"), shim, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(dir, os.DirFS("page")); err != nil {
		t.Fatal(err)
	}
	return dir
}

// opened gives a page as it stands when it has nothing more to do.
func opened(t *testing.T, browser, address string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	args := []string{"--headless", "--disable-gpu", "--disable-dev-shm-usage", "--user-data-dir=" + t.TempDir(), "--virtual-time-budget=120000", "--dump-dom", address}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox")
	}
	out, err := exec.CommandContext(ctx, browser, args...).Output()
	if err != nil {
		t.Fatalf("%s: %v", address, err)
	}
	return string(out)
}
