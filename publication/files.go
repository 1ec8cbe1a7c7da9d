package publication

import (
	"telltale/dossier"
	"telltale/ledger"
)

// Files are the files of a publication: the dossier, what people look at without
// opening it, and the ledger by which they see that nothing was taken out.
func Files(s *Sealed, l *ledger.Ledger) []dossier.File {
	out := []dossier.File{{Name: "dossier.zip", Data: s.Archive}, {Name: "ledger.txt", Data: l.Bytes()}}
	for _, f := range s.Draft.Files() {
		switch f.Name {
		case "report.html", "summary.txt", "publisher.pub":
			out = append(out, f)
		}
	}
	return out
}
