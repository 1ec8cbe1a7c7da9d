package dossier

import (
	"bytes"
	"testing"
)

// A dossier of 50 MB, without recomputing: unpack, digests, signature.
func BenchmarkOpen50MB(b *testing.B) {
	k := testKey(b, 1)
	files := []File{}
	for _, f := range goodFiles(b) {
		if f.Name != manifestName && f.Name != signatureName && f.Name != entryName {
			files = append(files, f)
		}
	}
	files = append(files, File{"study/traces/large.csv", bytes.Repeat([]byte("0,8000,10\n"), 5<<20)})
	byName(files)
	seal := func() []byte {
		m := manifest(files)
		return pack(append([]File{{manifestName, m}, {signatureName, k.Sign(m, "x")}}, files...))
	}
	archive := seal()
	b.Run("seal", func(b *testing.B) {
		for b.Loop() {
			seal()
		}
	})
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			files, oneForm, err := unpack(archive)
			if err != nil || !oneForm {
				b.Fatal(err)
			}
			if wrong, err := checkManifest(files); err != nil || len(wrong) > 0 {
				b.Fatal(err, wrong)
			}
		}
	})
}
