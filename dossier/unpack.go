package dossier

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"telltale/fault"
)

// Limits of what is opened. Everything is held in memory and nothing is written.
const (
	MostPacked  = 200 << 20 // bytes of an archive
	MostBytes   = 200 << 20 // bytes of its files together; a dossier is stored, so this is no less
	MostEntries = 5000
	mostRatio   = 200 // unpacked to packed, per file
)

// unpack reads an archive and reports whether it is in the one form in which
// dossiers are written. It refuses what could be read in two ways, what is too
// large, and what names anything but plain files in one folder.
func unpack(archive []byte) (files []File, oneForm bool, err error) {
	r, err := openZip(archive)
	if err != nil {
		return nil, false, err
	}
	if err := checkSizes(r, int64(len(archive))); err != nil {
		return nil, false, err
	}
	if err := checkNames(r); err != nil {
		return nil, false, err
	}
	for _, f := range r.File {
		if strings.HasSuffix(f.Name, "/") {
			continue // a folder, as other programs write them; one that is not in the one form
		}
		data, err := readEntry(f)
		if err != nil {
			return nil, false, err
		}
		files = append(files, File{f.Name, data})
	}
	return files, bytes.Equal(pack(files), archive), nil
}

func openZip(archive []byte) (*zip.Reader, error) {
	switch {
	case len(archive) > MostPacked:
		return nil, tooLarge("", fmt.Sprintf("the archive is larger than %d MB", MostPacked>>20))
	case !bytes.HasPrefix(archive, []byte("PK")):
		return nil, &fault.Fault{Code: "E151", What: "this is not a zip archive", Do: "Name the dossier as it was published, a file that ends in .zip."}
	}
	r, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, &fault.Fault{Code: "E152", What: "the archive is cut off or damaged", Do: "Fetch it again from where it was published.", Err: err}
	}
	return r, nil
}

func tooLarge(name, what string) error {
	return &fault.Fault{Code: "E160", File: name, What: what, Do: "No dossier is like this; nothing was unpacked."}
}

// checkSizes looks at what the archive says of itself, before a byte of a file is
// unpacked.
func checkSizes(r *zip.Reader, packed int64) error {
	if len(r.File) > MostEntries {
		return tooLarge("", fmt.Sprintf("the archive holds %d files; %d are the most", len(r.File), MostEntries))
	}
	type span struct{ begin, end int64 }
	var spans []span
	var total uint64
	for _, f := range r.File {
		size, small := f.UncompressedSize64, f.CompressedSize64
		total += min(size, MostBytes+1)
		if size > MostBytes || total > MostBytes {
			return tooLarge(f.Name, fmt.Sprintf("the files are larger than %d MB together", MostBytes>>20))
		}
		if small > uint64(packed) || size > 1<<16 && size/mostRatio > small {
			return tooLarge(f.Name, fmt.Sprintf("unpacks to more than %d times its size", mostRatio))
		}
		begin, err := f.DataOffset()
		if err != nil {
			return &fault.Fault{Code: "E152", File: f.Name, What: "its head is damaged", Do: "Fetch the archive again from where it was published.", Err: err}
		}
		spans = append(spans, span{begin, begin + int64(small)})
	}
	slices.SortFunc(spans, func(a, b span) int { return int(min(max(a.begin-b.begin, -1), 1)) })
	for i := 1; i < len(spans); i++ {
		if spans[i].begin < spans[i-1].end {
			return tooLarge("", "files of the archive lie over each other")
		}
	}
	return nil
}

// checkNames refuses names and kinds of entries that no dossier has.
func checkNames(r *zip.Reader) error {
	seen := map[string]string{}
	for _, f := range r.File {
		plain := strings.TrimSuffix(f.Name, "/")
		if why := badName(plain); why != "" {
			return &fault.Fault{Code: "E161", File: clean(f.Name), What: "this name in the archive " + why, Do: "Nothing was unpacked."}
		}
		mode := f.Mode()
		if folder := plain != f.Name; folder && !mode.IsDir() || !folder && mode&^fs.ModePerm != 0 {
			return &fault.Fault{Code: "E161", File: clean(f.Name), What: "is not a plain file in the archive", Do: "Nothing was unpacked."}
		}
		if f.Method != zip.Store && f.Method != zip.Deflate || f.Flags&1 != 0 {
			return &fault.Fault{Code: "E161", File: clean(f.Name), What: "is packed or locked in a way that dossiers are not", Do: "Nothing was unpacked."}
		}
		key := sameName(plain)
		if other, twice := seen[key]; twice {
			what := "stands twice in the archive"
			if other != plain {
				what = fmt.Sprintf("is the same as %s on some systems", clean(other))
			}
			return &fault.Fault{Code: "E155", File: clean(f.Name), What: what, Do: "Nothing was unpacked: two programs could read two different files."}
		}
		seen[key] = plain
	}
	return nil
}

// readEntry unpacks one file, never more of it than was said.
func readEntry(f *zip.File) ([]byte, error) {
	in, err := f.Open()
	if err != nil {
		return nil, &fault.Fault{Code: "E152", File: f.Name, What: "cannot be unpacked", Do: "Fetch the archive again from where it was published.", Err: err}
	}
	defer in.Close()
	data, err := io.ReadAll(io.LimitReader(in, int64(f.UncompressedSize64)+1))
	switch {
	case errors.Is(err, zip.ErrChecksum):
		return nil, &fault.Fault{Code: "E153", File: f.Name, What: "its checksum does not fit: it was damaged or altered", Do: "Fetch the archive again from where it was published.", Err: err}
	case err != nil || uint64(len(data)) != f.UncompressedSize64:
		return nil, &fault.Fault{Code: "E152", File: f.Name, What: "is not as long as the archive says", Do: "Fetch the archive again from where it was published.", Err: err}
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return nil, tooLarge(f.Name, "is an archive inside the archive")
	}
	return data, nil
}

// clean shows a name without control characters.
func clean(s string) string {
	if len(s) > longestName {
		s = s[:longestName] + "..."
	}
	return strings.Trim(fmt.Sprintf("%+q", s), `"`)
}
