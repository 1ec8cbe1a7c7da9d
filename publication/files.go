package publication

import (
	"telltale/dossier"
)

// Files are the files of a publication: the dossier, and what people look at
// without opening it.
func Files(s *Sealed) []dossier.File {
	out := []dossier.File{{Name: "dossier.zip", Data: s.Archive}}
	for _, f := range s.Draft.Files() {
		switch f.Name {
		case "report.html", "summary.txt", "publisher.pub":
			out = append(out, f)
		}
	}
	return out
}
