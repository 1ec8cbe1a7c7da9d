package dossier

import (
	"bytes"
	"encoding/csv"
	"path"
	"regexp"
	"slices"
	"strings"
)

// A package's descriptor after Data Package v2.0 (standard of 2024-06-26: data
// package, data resource, table schema; read).
type packageDescriptor struct {
	Schema       string               `json:"$schema"`
	Name         string               `json:"name"`
	ID           string               `json:"id"`
	Title        string               `json:"title"`
	Description  string               `json:"description"`
	Created      string               `json:"created"`
	Licenses     []License            `json:"licenses"`
	Contributors []contributor        `json:"contributors"`
	Resources    []resourceDescriptor `json:"resources"`
}

type contributor struct {
	Title string   `json:"title"`
	Roles []string `json:"roles"`
}

type resourceDescriptor struct {
	Schema    string       `json:"$schema"`
	Name      string       `json:"name"`
	Path      string       `json:"path"`
	Type      string       `json:"type,omitempty"`
	Format    string       `json:"format,omitempty"`
	MediaType string       `json:"mediatype"`
	Encoding  string       `json:"encoding,omitempty"`
	Bytes     int          `json:"bytes"`
	Hash      string       `json:"hash"`
	Dialect   *dialect     `json:"dialect,omitempty"`
	Table     *tableSchema `json:"schema,omitempty"`
}

type dialect struct {
	CommentChar string `json:"commentChar"`
}

type tableSchema struct {
	Schema  string        `json:"$schema"`
	Fields  []schemaField `json:"fields"`
	Missing []string      `json:"missingValues"`
}

type schemaField struct {
	Name string `json:"name"`
	Type string `json:"type"`
}

const profiles = "https://datapackage.org/profiles/2.0/"

// dataPackage describes the files for programs that read data packages.
func dataPackage(c Card, files []File) []byte {
	d := packageDescriptor{
		Schema: profiles + "datapackage.json", Name: slug(c.Study, "study"),
		ID:    "urn:sha256:" + digest(find(files, cardName)),
		Title: oneLine(c.Study), Description: about(c), Created: c.Published + "T00:00:00Z",
		Licenses:     []License{{slug(c.License.Name, "licence"), c.License.Path}},
		Contributors: []contributor{{oneLine(c.Publisher), []string{"creator", "publisher"}}},
	}
	if c.License.Path == "" {
		d.Licenses[0].Path = readmeName
	}
	taken := map[string]bool{}
	sorted := slices.Clone(files)
	byName(sorted)
	for _, f := range sorted {
		d.Resources = append(d.Resources, resource(f, taken))
	}
	return encode(d)
}

func about(c Card) string {
	return "Measurements of respirators on faces, the figures computed from them, and the report. Program: " + c.Program.Name + " " + c.Program.Version + "."
}

func resource(f File, taken map[string]bool) resourceDescriptor {
	r := resourceDescriptor{Schema: profiles + "dataresource.json", Name: free(slug(f.Name, "file"), taken), Path: f.Name,
		MediaType: mediaType(f.Name), Bytes: len(f.Data), Hash: "sha256:" + digest(f.Data)}
	r.Format = strings.TrimPrefix(path.Ext(f.Name), ".")
	if heading := headingOf(f); heading != nil {
		r.Type, r.Encoding = "table", "utf-8"
		r.Dialect = &dialect{"#"}
		r.Table = &tableSchema{profiles + "tableschema.json", heading, []string{""}}
	}
	return r
}

// headingOf reads the heading of a trace in the form of docs/formats.md: nil for
// anything else, such as another maker's columns read through a layout.
func headingOf(f File) []schemaField {
	if !strings.HasSuffix(strings.ToLower(f.Name), ".csv") {
		return nil
	}
	text := bytes.TrimPrefix(f.Data, []byte("\xef\xbb\xbf"))
	for len(text) > 0 && text[0] == '#' {
		_, text, _ = bytes.Cut(text, []byte("\n"))
	}
	line, _, _ := bytes.Cut(text, []byte("\n"))
	row, err := csv.NewReader(bytes.NewReader(line)).Read()
	if err != nil || !slices.ContainsFunc(row, func(s string) bool { return s == "time_s" || s == "time" }) {
		return nil
	}
	var out []schemaField
	seen := map[string]bool{}
	for _, name := range row {
		if name == "" || seen[name] {
			return nil
		}
		seen[name] = true
		kind := "any" // a column of particles may hold words of overload
		if name == "time_s" {
			kind = "number"
		}
		out = append(out, schemaField{name, kind})
	}
	return out
}

func mediaType(name string) string {
	switch strings.ToLower(path.Ext(name)) {
	case ".csv":
		return "text/csv"
	case ".json":
		return "application/json"
	case ".html":
		return "text/html"
	case ".yaml", ".yml":
		return "application/yaml"
	case ".txt", ".md", ".pub":
		return "text/plain"
	case ".png":
		return "image/png"
	case ".jpg", ".jpeg":
		return "image/jpeg"
	}
	return "application/octet-stream"
}

var notSlug = regexp.MustCompile(`[^a-z0-9]+`)

// slug makes a name of small letters, digits and dashes.
func slug(s, otherwise string) string {
	s = strings.Trim(notSlug.ReplaceAllString(strings.ToLower(s), "-"), "-")
	if s == "" {
		return otherwise
	}
	return s
}

// free gives the name, with a number behind it when it is taken.
func free(name string, taken map[string]bool) string {
	for taken[name] {
		name += "-x"
	}
	taken[name] = true
	return name
}
