package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// report is the part of a vulnerability report (format OSV) that the index needs.
type report struct {
	ID       string `json:"id"`
	Modified string `json:"modified"`
	Affected []struct {
		Package struct{ Name string }
	}
}

// The index of modules, as govulncheck reads it (golang.org/x/vuln,
// internal/client, read). The version that fixes a report is left out: it only
// saves reading the report, which says it again.
type (
	indexVuln struct {
		ID       string `json:"id"`
		Modified string `json:"modified"`
	}
	indexModule struct {
		Path  string      `json:"path"`
		Vulns []indexVuln `json:"vulns"`
	}
)

// lay makes the database as a folder below into and gives its absolute path. A
// folder that is there already is whole: it is renamed to its place at the end.
func lay(into, module string) (string, error) {
	source, version, err := fetch(module)
	if err != nil {
		return "", err
	}
	dir, err := filepath.Abs(filepath.Join(into, "vulndb-"+version))
	if err != nil {
		return "", err
	}
	if _, err := os.Stat(dir); err == nil {
		return dir, nil
	}
	if err := os.MkdirAll(into, 0o777); err != nil {
		return "", err
	}
	tmp, err := os.MkdirTemp(into, "vulndb-new-")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(tmp)
	if err := layInto(tmp, filepath.Join(source, "data", "osv")); err != nil {
		return "", err
	}
	return dir, os.Rename(tmp, dir)
}

// fetch has Go download the database's module and gives its folder and version.
func fetch(module string) (dir, version string, err error) {
	cmd := exec.Command("go", "mod", "download", "-json", database)
	cmd.Dir, cmd.Stderr = module, os.Stderr
	raw, err := cmd.Output()
	var m struct{ Dir, Version, Error string }
	if errJSON := json.Unmarshal(raw, &m); errJSON == nil && m.Error != "" {
		return "", "", fmt.Errorf("download %s: %s", database, m.Error)
	}
	if err != nil {
		return "", "", fmt.Errorf("download %s: %w", database, err)
	}
	return m.Dir, m.Version, nil
}

// layInto writes ID/*.json and the index.
func layInto(dir, osv string) error {
	names, err := filepath.Glob(filepath.Join(osv, "GO-*.json"))
	if err != nil {
		return err
	}
	if len(names) == 0 {
		return fmt.Errorf("no reports in %s", osv)
	}
	for _, sub := range []string{"ID", "index"} {
		if err := os.Mkdir(filepath.Join(dir, sub), 0o777); err != nil {
			return err
		}
	}
	modules, newest := map[string][]indexVuln{}, ""
	for _, name := range names {
		raw, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		var r report
		if err := json.Unmarshal(raw, &r); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := os.WriteFile(filepath.Join(dir, "ID", filepath.Base(name)), raw, 0o666); err != nil {
			return err
		}
		newest = max(newest, r.Modified)
		for _, path := range r.modules() {
			modules[path] = append(modules[path], indexVuln{r.ID, r.Modified})
		}
	}
	return writeIndex(filepath.Join(dir, "index"), modules, newest)
}

// modules gives the modules that a report is about, each once.
func (r report) modules() []string {
	var out []string
	for _, a := range r.Affected {
		out = append(out, a.Package.Name)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func writeIndex(dir string, modules map[string][]indexVuln, newest string) error {
	list := []indexModule{}
	for path, vulns := range modules {
		list = append(list, indexModule{path, vulns})
	}
	slices.SortFunc(list, func(a, b indexModule) int { return strings.Compare(a.Path, b.Path) })
	for name, v := range map[string]any{"db": map[string]string{"modified": newest}, "modules": list} {
		raw, err := json.Marshal(v)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, name+".json"), raw, 0o666); err != nil {
			return err
		}
	}
	return nil
}
