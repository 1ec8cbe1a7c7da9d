package dossier

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"telltale/fault"
)

// manifest lists the digests of the files by name, in the form that sha256sum -c
// reads.
func manifest(files []File) []byte {
	sorted := slices.Clone(files)
	byName(sorted)
	var b bytes.Buffer
	for _, f := range sorted {
		if !slices.Contains(unlisted, f.Name) {
			fmt.Fprintf(&b, "%s  %s\n", digest(f.Data), f.Name)
		}
	}
	return b.Bytes()
}

// checkManifest holds the files against the manifest and names each that differs.
// An error means that there is no one manifest to hold them against.
func checkManifest(files []File) (wrong []string, err error) {
	if len(files) == 0 || files[0].Name != manifestName {
		what := "the manifest is not the first file of the archive"
		if find(files, manifestName) == nil {
			what = "there is no manifest in the archive"
		}
		return nil, &fault.Fault{Code: "E154", File: manifestName, What: what, Do: "This is not a dossier, or not as it was published."}
	}
	listed, err := parseManifest(files[0].Data)
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		if slices.Contains(unlisted, f.Name) {
			continue
		}
		want, ok := listed[f.Name]
		got := digest(f.Data)
		switch {
		case !ok:
			wrong = append(wrong, fmt.Sprintf("E155 %s: is in the archive but not in the manifest", f.Name))
		case got != want:
			wrong = append(wrong, fmt.Sprintf("E156 %s: its digest is %s..., the manifest says %s...", f.Name, got[:12], want[:12]))
		}
		delete(listed, f.Name)
	}
	for name := range listed {
		wrong = append(wrong, fmt.Sprintf("E155 %s: is in the manifest but not in the archive", clean(name)))
	}
	slices.Sort(wrong)
	return wrong, nil
}

// parseManifest reads a manifest in its one form: sorted, each name once.
func parseManifest(text []byte) (map[string]string, error) {
	bad := func(line int, what string) error {
		return &fault.Fault{Code: "E154", File: manifestName, Line: line, What: what, Do: "This is not a manifest as dossiers have it."}
	}
	if len(text) == 0 || text[len(text)-1] != '\n' {
		return nil, bad(0, "is empty or cut off")
	}
	out := map[string]string{}
	last := ""
	for i, line := range strings.Split(string(text[:len(text)-1]), "\n") {
		sum, name, ok := strings.Cut(line, "  ")
		switch {
		case !ok || len(sum) != 64 || strings.Trim(sum, "0123456789abcdef") != "":
			return nil, bad(i+1, "is not a digest and a name")
		case badName(name) != "":
			return nil, bad(i+1, "its name "+badName(name))
		case name <= last:
			return nil, bad(i+1, "is out of order or stands twice")
		}
		out[name], last = sum, name
	}
	return out, nil
}
