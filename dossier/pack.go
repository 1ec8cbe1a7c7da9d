package dossier

import (
	"archive/zip"
	"bytes"
	"hash/crc32"
)

// pack writes the files in their order as one zip archive in its one form: stored,
// no times, no attributes, no comments. The same files give the same bytes.
func pack(files []File) []byte {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, f := range files {
		size := uint64(len(f.Data))
		out, err := w.CreateRaw(&zip.FileHeader{Name: f.Name, Method: zip.Store, Flags: utf8Names,
			CRC32: crc32.ChecksumIEEE(f.Data), CompressedSize64: size, UncompressedSize64: size})
		if err == nil {
			_, err = out.Write(f.Data)
		}
		if err != nil {
			panic("dossier: " + err.Error()) // a buffer takes everything
		}
	}
	if err := w.Close(); err != nil {
		panic("dossier: " + err.Error())
	}
	return b.Bytes()
}

// utf8Names is the flag that says the names are UTF-8.
const utf8Names = 0x800
