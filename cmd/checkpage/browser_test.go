package main

import (
	"context"
	"encoding/json"
	"io"
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
	results := make(chan string, 1)
	mux := http.NewServeMux()
	mux.Handle("/", http.FileServer(http.Dir(dir)))
	mux.HandleFunc("/result", func(_ http.ResponseWriter, r *http.Request) {
		text, _ := io.ReadAll(r.Body)
		results <- string(text)
	})
	server := httptest.NewServer(mux)
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
		page := opened(t, browser, server.URL+"/index.html?dossier="+v.File, results)
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
	script, err := os.OpenFile(filepath.Join(dir, "check.js"), os.O_APPEND|os.O_WRONLY, 0)
	if err == nil {
		_, err = script.WriteString(report)
		script.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// report tells the test's server what the page shows once it is done.
const report = `
new MutationObserver(() => {
  if (/^(Done|The program could not)/.test(state.textContent)) fetch("result", {method: "POST", body: document.body.innerHTML});
}).observe(state, {childList: true});
`

// opened gives a page as it stands when it is done.
func opened(t *testing.T, browser, address string, results <-chan string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	args := []string{"--headless", "--disable-gpu", "--disable-dev-shm-usage", "--user-data-dir=" + t.TempDir(), "--remote-debugging-port=0", address}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox")
	}
	cmd := exec.CommandContext(ctx, browser, args...)
	cmd.WaitDelay = time.Second
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	defer cancel()
	select {
	case page := <-results:
		return page
	case <-ctx.Done():
		t.Fatalf("%s: the page was not done in two minutes", address)
		return ""
	}
}
