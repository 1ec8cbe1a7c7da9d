package dossier

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"telltale/fault"
)

var update = flag.Bool("update", false, "make the vectors anew")

// vector is one archive with what a program that opens it has to find. Code is
// that of the refusal; without one the states are those of the answers. What
// recomputing gives hangs on the program's rules, so only Contradicted speaks of
// it.
type vector struct {
	File         string `json:"file"`
	About        string `json:"about"`
	Code         string `json:"code,omitempty"`
	Unchanged    string `json:"unchanged,omitempty"`
	Key          string `json:"key,omitempty"`
	Ledger       string `json:"ledger,omitempty"`
	Runs         string `json:"runs,omitempty"`
	FiguresAlter bool   `json:"figures_altered,omitempty"`
}

const vectorFolder = "testdata/vectors"

func TestTheVectorsHold(t *testing.T) {
	if *update {
		makeVectors(t)
	}
	raw, err := os.ReadFile(filepath.Join(vectorFolder, "expected.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all []vector
	if err := json.Unmarshal(raw, &all); err != nil || len(all) < 8 {
		t.Fatal(err, len(all))
	}
	for _, want := range all {
		archive, err := os.ReadFile(filepath.Join(vectorFolder, want.File))
		if err != nil {
			t.Fatal(err)
		}
		v, err := Verify(archive, Reader{Maker: testMaker()})
		var f *fault.Fault
		if want.Code != "" {
			if !errors.As(err, &f) || f.Code != want.Code {
				t.Errorf("%s: %v, want %s", want.File, err, want.Code)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", want.File, err)
			continue
		}
		got := vector{want.File, want.About, "", v.Unchanged.State, v.Key.State, v.Ledger.State, v.Runs.State, want.FiguresAlter}
		if got != want || want.FiguresAlter && v.Recomputed.State != "figures_differ" {
			t.Errorf("%s: %+v %s, want %+v", want.File, got, v.Recomputed.State, want)
		}
	}
}

// makeVectors writes the archives and what is to be found in them.
func makeVectors(t *testing.T) {
	whole := good(t)
	var anew []entry
	for _, f := range goodFiles(t) {
		anew = append(anew, entry{name: f.Name, data: f.Data, method: 8})
	}
	altered := resigned(t, func(files []File) []File {
		for i, f := range files {
			if f.Name == findingsName {
				files[i].Data = bytes.Replace(f.Data, []byte(`"value": `), []byte(`"value": 9`), 1)
			}
		}
		return files
	})
	x := []byte("x")
	all := []vector{}
	put := func(archive []byte, v vector) {
		if err := os.WriteFile(filepath.Join(vectorFolder, v.File), archive, 0o644); err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	put(whole, vector{File: "good.zip", About: "as published", Unchanged: "unchanged", Key: "unknown", Ledger: "in_ledger", Runs: "listed"})
	put(archiveOf(t, anew...), vector{File: "repacked.zip", About: "the same files, packed by another program", Unchanged: "repacked", Key: "unknown", Ledger: "in_ledger", Runs: "listed"})
	put(without(t, whole, entryName), vector{File: "no-entry.zip", About: "the entry of the ledger taken out", Unchanged: "unchanged", Key: "unknown", Ledger: "not_in_ledger", Runs: "listed"})
	put(without(t, whole, signatureName), vector{File: "unsigned.zip", About: "the signature taken out", Unchanged: "unsigned", Key: "missing", Ledger: "in_ledger", Runs: "listed"})
	put(swapped(t, whole, signatureName, testKey(t, 2).Sign(find(goodFiles(t), manifestName), "x")), vector{File: "other-key.zip", About: "signed by another key than it names", Unchanged: "not_as_signed", Key: "bad_signature", Ledger: "in_ledger", Runs: "listed"})
	put(altered, vector{File: "altered-figure.zip", About: "a figure altered, and all signed anew by the same key", Unchanged: "unchanged", Key: "unknown", Ledger: "not_in_ledger", Runs: "listed", FiguresAlter: true})
	put(pack(edited(pageName, "<p>", "<q>")(goodFiles(t))), vector{File: "changed-page.zip", About: "the page changed, nothing signed anew", Unchanged: "changed", Key: "not_examined", Ledger: "not_examined", Runs: "not_examined"})
	put(damaged(t), vector{File: "damaged.zip", About: "one bit of a file changed", Code: "E153"})
	put(whole[:len(whole)/2], vector{File: "cut.zip", About: "half of it", Code: "E152"})
	put(pack(goodFiles(t)[1:]), vector{File: "no-manifest.zip", About: "the manifest taken out", Code: "E154"})
	put(archiveOf(t, entry{name: "study/A", data: x}, entry{name: "study/a", data: x}), vector{File: "twice.zip", About: "two names that differ in case only", Code: "E155"})
	put(archiveOf(t, entry{name: "study/../../x", data: x}), vector{File: "outside.zip", About: "a name that leaves the folder", Code: "E161"})
	if err := os.WriteFile(filepath.Join(vectorFolder, "expected.json"), encode(all), 0o644); err != nil {
		t.Fatal(err)
	}
}
