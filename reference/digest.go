package reference

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"sync"
)

// Digest is the SHA-256 of all embedded reference data, so that a result can say
// which rows it rests on.
func Digest() string { return digest() }

var digest = sync.OnceValue(func() string {
	h := sha256.New()
	h.Write(protocolsYAML)
	h.Write(prefixesYAML)
	files, err := fs.Glob(regimeFiles, "data/regimes/*.yaml")
	if err != nil {
		panic("reference: " + err.Error())
	}
	for _, name := range files { // Glob gives them in order
		raw, err := regimeFiles.ReadFile(name)
		if err != nil {
			panic("reference: " + err.Error())
		}
		h.Write(raw)
	}
	for _, c := range cautions {
		h.Write([]byte(c.Text))
	}
	return hex.EncodeToString(h.Sum(nil))
})
