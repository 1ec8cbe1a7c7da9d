package publication

import (
	"context"
	"fmt"
	"strings"

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
	out = append(out, Pictures(s)...)
	return append(out, Film(s.Draft.Findings)...)
}

// Printed makes what needs a browser: report.pdf, and the pictures as PNG. What
// could not be made is an error in troubles; the rest is given.
func Printed(ctx context.Context, b Browser, s *Sealed, pdf, png bool) (files []dossier.File, troubles []error) {
	add := func(name string, data []byte, err error) {
		if err != nil {
			troubles = append(troubles, fmt.Errorf("%s: %w", name, err))
			return
		}
		files = append(files, dossier.File{Name: name, Data: data})
	}
	if pdf {
		for _, f := range s.Draft.Files() {
			if f.Name == "report.html" {
				data, err := b.PDF(ctx, f.Data, s.Draft.Card.Published)
				add("report.pdf", data, err)
			}
		}
	}
	if png {
		for i, f := range Pictures(s) {
			sh := shapes[i%len(shapes)]
			data, err := b.PNG(ctx, f.Data, sh.width, sh.height)
			add(strings.TrimSuffix(f.Name, ".svg")+".png", data, err)
		}
	}
	return files, troubles
}
