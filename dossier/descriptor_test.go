package dossier

import (
	"encoding/json"
	"fmt"
	"net/url"
	"regexp"
	"testing"
)

// The MUSTs of Data Package v2.0 (data package: resources; data resource: a unique
// name and one of path or data; table schema: fields, each with a unique name;
// read), and that the descriptor tells the truth of each file.
func TestTheDataPackageDescribesEachFile(t *testing.T) {
	files := goodFiles(t)
	var d packageDescriptor
	if err := json.Unmarshal(find(files, packageName), &d); err != nil {
		t.Fatal(err)
	}
	if d.Schema != "https://datapackage.org/profiles/2.0/datapackage.json" || !regexp.MustCompile(`^[a-z0-9._-]+$`).MatchString(d.Name) || len(d.Licenses) == 0 {
		t.Errorf("%+v", d)
	}
	names, tables := map[string]bool{}, 0
	for _, r := range d.Resources {
		data := find(files, r.Path)
		if names[r.Name] || data == nil || r.Bytes != len(data) || r.Hash != "sha256:"+digest(data) {
			t.Errorf("resource %s: %s", r.Name, r.Path)
		}
		names[r.Name] = true
		if r.Table == nil {
			continue
		}
		tables++
		fields := map[string]bool{}
		for _, f := range r.Table.Fields {
			if f.Name == "" || fields[f.Name] {
				t.Errorf("%s: field %q", r.Path, f.Name)
			}
			fields[f.Name] = true
		}
		if !fields["time_s"] || len(fields) != 3 { // the columns of the invented traces
			t.Errorf("%s: %v", r.Path, fields)
		}
	}
	// All but the manifest, its signature, the entry and the two descriptors.
	if len(d.Resources) != len(files)-5 || tables != 2 {
		t.Errorf("%d resources, %d tables of %d files", len(d.Resources), tables, len(files))
	}
}

// The MUSTs of RO-Crate 1.3 (descriptor and root entity, files that exist; read).
func TestTheCrateDescribesEachFile(t *testing.T) {
	files := goodFiles(t)
	var c struct {
		Context string           `json:"@context"`
		Graph   []map[string]any `json:"@graph"`
	}
	if err := json.Unmarshal(find(files, crateName), &c); err != nil {
		t.Fatal(err)
	}
	byID := map[string]map[string]any{}
	for _, e := range c.Graph {
		id, _ := e["@id"].(string)
		if id == "" || byID[id] != nil || e["@type"] == nil {
			t.Errorf("entity %q", id)
		}
		byID[id] = e
	}
	about, _ := byID[crateName]["about"].(map[string]any)
	conforms, _ := byID[crateName]["conformsTo"].(map[string]any)
	root := byID["./"]
	if about["@id"] != "./" || conforms["@id"] != "https://w3id.org/ro/crate/1.3" || root["@type"] != "Dataset" || c.Context != "https://w3id.org/ro/crate/1.3/context" {
		t.Errorf("%v %v", byID[crateName], c.Context)
	}
	for _, key := range []string{"name", "description", "datePublished", "license"} {
		if root[key] == nil || root[key] == "" {
			t.Errorf("the root has no %s", key)
		}
	}
	parts, _ := root["hasPart"].([]any)
	for _, p := range parts {
		id := fmt.Sprint(p.(map[string]any)["@id"])
		name, err := url.PathUnescape(id)
		data := find(files, name)
		e := byID[id]
		if err != nil || data == nil || e["@type"] != "File" || e["sha256"] != digest(data) || e["contentSize"] != fmt.Sprint(len(data)) {
			t.Errorf("%s: %v", id, e)
		}
	}
	var walk func(v any)
	walk = func(v any) { // each reference leads to an entity or to an address
		switch x := v.(type) {
		case map[string]any:
			if id, ok := x["@id"].(string); ok && len(x) == 1 && byID[id] == nil && id[:4] != "http" {
				t.Errorf("%s leads nowhere", id)
			}
			for _, m := range x {
				walk(m)
			}
		case []any:
			for _, m := range x {
				walk(m)
			}
		}
	}
	for _, e := range c.Graph {
		walk(e)
	}
	if len(parts) != len(files)-4 { // all but manifest, signature, entry and the crate itself
		t.Errorf("%d parts of %d files", len(parts), len(files))
	}
}

func TestAPathIsEscapedAsAddressesAre(t *testing.T) {
	for _, name := range []string{"study/a b.csv", "study/prüfung-1.csv", "a+b,(c)'&=@.txt"} {
		if back, err := url.PathUnescape(escaped(name)); err != nil || back != name {
			t.Errorf("%q became %q", name, escaped(name))
		}
	}
}
