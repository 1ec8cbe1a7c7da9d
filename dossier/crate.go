package dossier

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// entity is one thing of a crate's graph: flat JSON-LD.
type entity map[string]any

type ref struct {
	ID string `json:"@id"`
}

// crate describes the files for programs that read research-object crates (RO-Crate
// 1.3, Recommendation of 2026-06-22, sections on the root entity, files, licences
// and provenance; read).
func crate(c Card, files []File) []byte {
	sorted := slices.Clone(files)
	byName(sorted)
	var parts, facts []ref
	var entities []entity
	for _, f := range sorted {
		id := escaped(f.Name)
		parts = append(parts, ref{id})
		if strings.HasPrefix(f.Name, factsFolder) {
			facts = append(facts, ref{id})
		}
		entities = append(entities, entity{"@id": id, "@type": "File", "name": f.Name, "encodingFormat": mediaType(f.Name),
			"contentSize": strconv.Itoa(len(f.Data)), "sha256": digest(f.Data)})
	}
	license := c.License.Path
	if license == "" {
		license = "#licence"
	}
	graph := []entity{
		{"@id": crateName, "@type": "CreativeWork", "about": ref{"./"}, "conformsTo": ref{"https://w3id.org/ro/crate/1.3"}},
		{"@id": "./", "@type": "Dataset", "name": named(c.Study, "A study without a title"), "description": about(c), "datePublished": c.Published,
			"license": ref{license}, "author": ref{"#publisher"}, "publisher": ref{"#publisher"}, "hasPart": parts, "mentions": ref{"#computing"}},
		{"@id": license, "@type": "CreativeWork", "name": c.License.Name, "description": "What others may do with this dossier."},
		{"@id": "#publisher", "@type": "Person", "name": oneLine(c.Publisher)},
		{"@id": "#program", "@type": "SoftwareApplication", "name": c.Program.Name, "version": c.Program.Version, "softwareVersion": c.Program.Commit},
		{"@id": "#computing", "@type": "CreateAction", "name": "Computing the findings from the facts", "agent": ref{"#publisher"}, "instrument": ref{"#program"},
			"object": facts, "result": []ref{{findingsName}, {summaryName}}, "endTime": c.Published},
	}
	return encode(map[string]any{"@context": "https://w3id.org/ro/crate/1.3/context", "@graph": append(graph, entities...)})
}

func named(s, otherwise string) string {
	if s = oneLine(s); s != "" {
		return s
	}
	return otherwise
}

// escaped writes a path as a relative reference (RFC 3986): all but letters, digits
// and a few signs as percent and two digits.
func escaped(path string) string {
	var b strings.Builder
	for i := 0; i < len(path); i++ {
		c := path[i]
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("/-._~", c) >= 0 {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}
