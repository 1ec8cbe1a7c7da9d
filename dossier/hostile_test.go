package dossier

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"strings"
	"testing"

	"telltale/fault"
)

// entry is one entry of an archive made by hand.
type entry struct {
	name   string
	data   []byte
	mode   fs.FileMode
	method uint16
}

func archiveOf(t testing.TB, entries ...entry) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range entries {
		h := &zip.FileHeader{Name: e.name, Method: e.method}
		if e.mode != 0 {
			h.SetMode(e.mode)
		}
		out, err := w.CreateHeader(h)
		if err == nil {
			_, err = out.Write(e.data)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func good(t testing.TB) []byte { return sealed(t, smallStudy(), testKey(t, 1), newLedger(), nil) }

func goodFiles(t testing.TB) []File {
	t.Helper()
	files, _, err := unpack(good(t))
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// resigned changes files of a good dossier and makes manifest and signature anew,
// as a dishonest publisher could.
func resigned(t testing.TB, change func([]File) []File) []byte {
	t.Helper()
	k := testKey(t, 1)
	var rest []File
	for _, f := range change(goodFiles(t)) {
		if f.Name != manifestName && f.Name != signatureName && f.Name != entryName {
			rest = append(rest, f)
		}
	}
	m := manifest(rest)
	return pack(append([]File{{manifestName, m}, {signatureName, k.Sign(m, comment(Card{Publisher: "A Tester", Published: "2026-08-20", Study: "a small evening"}))}}, rest...))
}

func edited(name, old, new string) func([]File) []File {
	return func(files []File) []File {
		for i, f := range files {
			if f.Name == name {
				files[i].Data = bytes.Replace(f.Data, []byte(old), []byte(new), 1)
			}
		}
		return files
	}
}

func TestHostileArchivesAreRefusedWithTheirCode(t *testing.T) {
	var tiny = []byte("x")
	named := func(name string) []byte { return archiveOf(t, entry{name: name, data: tiny}) }
	link := func(m fs.FileMode) []byte {
		return archiveOf(t, entry{name: "study/a", data: []byte("/etc/passwd"), mode: m | 0o777})
	}
	for _, c := range []struct {
		name, code string
		archive    []byte
	}{
		{"empty", "E151", nil},
		{"text", "E151", []byte("hello")},
		{"a PDF", "E151", []byte("%PDF-1.7\n")},
		{"cut", "E152", good(t)[:1000]},
		{"directory gone", "E152", good(t)[:len(good(t))-22]},
		{"wrong checksum", "E153", damaged(t)},
		{"no manifest", "E154", archiveOf(t, entry{name: "report.html", data: tiny})},
		{"no file at all", "E154", archiveOf(t)},
		{"manifest not first", "E154", pack(append(goodFiles(t)[1:], goodFiles(t)[0]))},
		{"manifest empty", "E154", archiveOf(t, entry{name: manifestName})},
		{"two manifests", "E155", archiveOf(t, entry{name: manifestName, data: tiny}, entry{name: manifestName, data: tiny})},
		{"a name twice", "E155", archiveOf(t, entry{name: "a", data: tiny}, entry{name: "a", data: tiny})},
		{"names that differ in case only", "E155", archiveOf(t, entry{name: "study/A", data: tiny}, entry{name: "study/a", data: tiny})},
		{"a file under a file's name", "E155", archiveOf(t, entry{name: "a/", mode: fs.ModeDir}, entry{name: "a", data: tiny})},
		{"absolute", "E161", named("/etc/passwd")},
		{"dots", "E161", named("study/../../x")},
		{"one dot", "E161", named("./x")},
		{"backslash", "E161", named(`study\..\x`)},
		{"drive", "E161", named("C:x")},
		{"stream", "E161", named("a.txt:hidden")},
		{"device", "E161", named("study/NUL.txt")},
		{"device with a number", "E161", named("com1")},
		{"trailing point", "E161", named("study/a.")},
		{"trailing blank", "E161", named("study/a ")},
		{"control character", "E161", named("a\x07b")},
		{"line end", "E161", named("a\nb")},
		{"NUL", "E161", named("a\x00b")},
		{"turned writing", "E161", named("a\u202etxt.exe")},
		{"not UTF-8", "E161", named("a\xff")},
		{"long name", "E161", named(strings.Repeat("a", 300))},
		{"double slash", "E161", named("a//b")},
		{"no name", "E161", named("")},
		{"symbolic link", "E161", link(fs.ModeSymlink)},
		{"device file", "E161", link(fs.ModeDevice)},
		{"fifo", "E161", link(fs.ModeNamedPipe)},
		{"socket", "E161", link(fs.ModeSocket)},
		{"setuid", "E161", link(fs.ModeSetuid)},
		{"unknown method", "E161", method(t, 99)},
		{"locked", "E161", locked(t)},
		{"archive inside", "E160", archiveOf(t, entry{name: "a.bin", data: good(t)})},
		{"too many files", "E160", many(t, MostEntries+1)},
		{"bomb", "E160", archiveOf(t, entry{name: "a", data: make([]byte, 64<<20), method: zip.Deflate})},
		{"lying size", "E160", lyingSize(t)},
		{"overlapping", "E160", overlapping(t)},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Verify(c.archive, Reader{Maker: testMaker()})
		runtime.ReadMemStats(&after)
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != c.code {
			t.Errorf("%s: %v, want %s", c.name, err, c.code)
		}
		if grown := after.TotalAlloc - before.TotalAlloc; grown > 16<<20 {
			t.Errorf("%s: took %d bytes to refuse", c.name, grown)
		}
	}
}

// damaged is a good dossier with a byte of its page changed.
func damaged(t testing.TB) []byte {
	a := good(t)
	at := bytes.Index(a, []byte("<!doctype html>"))
	a[at+3] ^= 1
	return a
}

func method(t testing.TB, m uint16) []byte {
	a := archiveOf(t, entry{name: "a", data: []byte("x")})
	at := bytes.LastIndex(a, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint16(a[at+10:], m)
	return a
}

func locked(t testing.TB) []byte {
	a := archiveOf(t, entry{name: "a", data: []byte("x")})
	at := bytes.LastIndex(a, []byte("PK\x01\x02"))
	a[at+8] |= 1
	return a
}

func many(t testing.TB, n int) []byte {
	var all []entry
	for i := range n {
		all = append(all, entry{name: fmt.Sprintf("a%d", i)})
	}
	return archiveOf(t, all...)
}

// lyingSize says that a file of one byte unpacks to almost 4 GB.
func lyingSize(t testing.TB) []byte {
	a := archiveOf(t, entry{name: "a", data: []byte("x"), method: zip.Deflate})
	at := bytes.LastIndex(a, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint32(a[at+24:], 0xfffffff0)
	return a
}

// overlapping has two names for one place in the archive.
func overlapping(t testing.TB) []byte {
	a := archiveOf(t, entry{name: "a", data: make([]byte, 100)}, entry{name: "b", data: make([]byte, 100)})
	second := bytes.LastIndex(a, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint32(a[second+42:], 0)
	return a
}

// A bomb that tells the truth of its size is refused by its ratio; one that says
// less than it holds is cut off where it said it would end.
func TestAFileThatIsLongerThanItSaysIsCutOff(t *testing.T) {
	var packed bytes.Buffer
	w, _ := flate.NewWriter(&packed, 9)
	io.Copy(w, io.LimitReader(zeros{}, 64<<20))
	w.Close()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	out, _ := z.CreateRaw(&zip.FileHeader{Name: "a", Method: zip.Deflate, CompressedSize64: uint64(packed.Len()), UncompressedSize64: 100})
	out.Write(packed.Bytes())
	z.Close()
	var f *fault.Fault
	if _, err := Verify(b.Bytes(), Reader{Maker: testMaker()}); !errors.As(err, &f) || f.Code != "E152" && f.Code != "E153" {
		t.Error(err)
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

func TestAnHonestArchivePackedAnewIsToldApart(t *testing.T) {
	var all []entry
	for _, f := range goodFiles(t) {
		all = append(all, entry{name: f.Name, data: f.Data, method: zip.Deflate})
	}
	v := verified(t, archiveOf(t, all...), Reader{})
	if v.Unchanged.State != "repacked" || v.Unchanged.Good || v.Recomputed.State != "agrees" {
		t.Errorf("%+v", v.Unchanged)
	}
}

func TestFilesThatAreNotAsListedAreNamed(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     func([]File) []File
	}{
		{"changed", "E156 report.html", edited(pageName, "<p>", "<q>")},
		{"absent", "E155 report.html", func(f []File) []File { return dropped(f, pageName) }},
		{"not listed", "E155 extra.txt", func(f []File) []File { return append(f, File{"extra.txt", []byte("x")}) }},
	} {
		v, err := Verify(pack(c.change(goodFiles(t))), Reader{Maker: testMaker()})
		if err != nil || v.Unchanged.State != "changed" || !v.Unchanged.Bad || !strings.Contains(strings.Join(v.Unchanged.Details, "\n"), c.want) {
			t.Errorf("%s: %v %+v", c.name, err, v)
			continue
		}
		for _, a := range v.Answers()[1:] {
			if a.State != "not_examined" || a.Good || a.Bad {
				t.Errorf("%s: %s is %s", c.name, a.Question, a.State)
			}
		}
	}
}

func dropped(files []File, name string) (out []File) {
	for _, f := range files {
		if f.Name != name {
			out = append(out, f)
		}
	}
	return out
}

func TestCardsInOddFormsAreRefused(t *testing.T) {
	deep := strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000)
	for name, c := range map[string]struct{ old, new, code string }{
		"a key twice":        {`"study":`, `"study": "x", "study":`, "E157"},
		"a key in two cases": {`"study":`, `"Study": "x", "study":`, "E157"},
		"an odd case":        {`"study":`, `"Study":`, "E157"},
		"an unknown key":     {`"study":`, `"x": 1, "study":`, "E157"},
		"a huge number":      {`"level": 0.95`, `"level": 1e400`, "E157"},
		"depth":              {`"study":`, `"x": ` + deep + `, "study":`, "E157"},
		"blanks":             {`"study":`, `"study" :`, "E157"},
		"bytes behind":       {"}\n", "}\n{}", "E157"},
		"a later format":     {Format, "telltale-dossier/2", "E158"},
	} {
		change := edited(cardName, c.old, c.new)
		if name == "bytes behind" {
			change = func(files []File) []File {
				for i, f := range files {
					if f.Name == cardName {
						files[i].Data = append(f.Data, "{}"...)
					}
				}
				return files
			}
		}
		_, err := Verify(resigned(t, change), Reader{Maker: testMaker()})
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != c.code {
			t.Errorf("%s: %v, want %s", name, err, c.code)
		}
	}
}

func TestFindingsThatCannotBeReadAreAnAnswer(t *testing.T) {
	for name, c := range map[string]struct {
		change func([]File) []File
		state  string
	}{
		"none":         {func(f []File) []File { return dropped(f, findingsName) }, "unreadable"},
		"a key twice":  {edited(findingsName, `"level":`, `"level": 1, "level":`), "unreadable"},
		"not a number": {edited(findingsName, `"level": 0.95`, `"level": 1e400`), "figures_differ"},
		"later":        {edited(findingsName, "telltale-findings/1", "telltale-findings/9"), "newer"},
		"no study":     {func(f []File) []File { return dropped(f, factsFolder+"study.yaml") }, "unreadable"},
		"bad study":    {edited(factsFolder+"study.yaml", "wearings:", "wearing:"), "unreadable"},
		"other trace":  {edited(factsFolder+"traces/r1-1.csv", "\n5,8", "\n5,9"), "figures_differ"},
		"level":        {edited(cardName, `"level": 0.95`, `"level": 2`), "unreadable"},
	} {
		v := verified(t, resigned(t, c.change), Reader{})
		if v.Unchanged.State != "unchanged" || v.Recomputed.State != c.state || !v.Recomputed.Bad {
			t.Errorf("%s: %s, %s, want %s: %s %q", name, v.Unchanged.State, v.Recomputed.State, c.state, v.Recomputed.Text, v.Recomputed.Details)
		}
	}
}

func FuzzVerify(f *testing.F) {
	f.Add(good(f))
	f.Add(archiveOf(f, entry{name: manifestName, data: []byte("x")}))
	f.Fuzz(func(t *testing.T, archive []byte) {
		v, err := Verify(archive, Reader{Maker: testMaker()})
		if err == nil && v.Unchanged.Good && !bytes.Equal(archive, good(t)) {
			t.Error("another archive is called unchanged")
		}
	})
}
