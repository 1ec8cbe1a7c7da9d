package dossier

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"telltale/ledger"
)

func TestAGoodDossierIsAnsweredFiveTimes(t *testing.T) {
	k, l := testKey(t, 1), newLedger()
	archive := sealed(t, smallStudy(), k, l, nil)
	wants(t, verified(t, archive, Reader{}), "unchanged", "unknown", "in_ledger", "agrees", "listed")
	seen := l.At(1)
	v := verified(t, archive, Reader{Known: knowing(t, k, "a tester"), Seen: &seen, Ledger: l})
	wants(t, v, "unchanged", "known", "held", "agrees", "listed")
	if v.Contradicted() || *v.Seen != l.At(2) {
		t.Error("contradicted or the wrong checkpoint to keep", v.Seen)
	}
}

func TestTheSameStudyGivesTheSameBytes(t *testing.T) {
	k := testKey(t, 1)
	a := sealed(t, smallStudy(), k, newLedger(), nil)
	if b := sealed(t, smallStudy(), k, newLedger(), nil); !bytes.Equal(a, b) {
		t.Error("two archives of one study differ")
	}
}

// flips is how many changed bytes make test tries; TELLTALE_EVERY_FLIP=1 tries
// each bit of each byte.
const flips = 20_000

func TestEachChangedByteIsNoticed(t *testing.T) {
	archive := sealed(t, smallStudy(), testKey(t, 1), newLedger(), nil)
	try := func(i int, mask byte) {
		archive[i] ^= mask
		defer func() { archive[i] ^= mask }()
		v, err := Verify(archive, Reader{Maker: testMaker()})
		if err == nil && v.Unchanged.State == "unchanged" && !v.Ledger.Bad {
			t.Fatalf("byte %d of %d, mask %02x: nobody noticed", i, len(archive), mask)
		}
	}
	if os.Getenv("TELLTALE_EVERY_FLIP") != "" {
		for i := range archive {
			for bit := range 8 {
				try(i, 1<<bit)
			}
		}
		return
	}
	r := rand.New(rand.NewPCG(7, 0))
	for range flips {
		try(r.IntN(len(archive)), byte(1+r.IntN(255)))
	}
	for i := range 64 { // both ends, where the forms of the archive are
		try(i, 1)
		try(len(archive)-1-i, 1)
	}
}

func TestAnArchiveThatIsCutOffIsRefused(t *testing.T) {
	archive := sealed(t, smallStudy(), testKey(t, 1), newLedger(), nil)
	for n := 0; n < len(archive); n += 97 {
		if _, err := Verify(archive[:n], Reader{Maker: testMaker()}); err == nil {
			t.Fatalf("%d of %d bytes are taken for a dossier", n, len(archive))
		}
	}
	if v, err := Verify(append(bytes.Clone(archive), 'x'), Reader{Maker: testMaker()}); err == nil && v.Unchanged.Good {
		t.Error("a byte behind the end is not noticed")
	}
}

func TestTheGenericToolsAcceptADossier(t *testing.T) {
	archive := sealed(t, smallStudy(), testKey(t, 1), newLedger(), nil)
	files, _, err := unpack(archive)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range files {
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		os.MkdirAll(filepath.Dir(path), 0o777)
		if err := os.WriteFile(path, f.Data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, args := range [][]string{{"sha256sum", "--strict", "-c", manifestName}, {"minisign", "-V", "-m", manifestName, "-p", keyName}} {
		tool, err := exec.LookPath(args[0])
		if err != nil {
			t.Logf("%s is not installed; not checked against it", args[0])
			continue
		}
		cmd := exec.Command(tool, args[1:]...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v: %s", args[0], err, out)
		}
	}
}

func TestAFigureThatWasAlteredAndSignedAnewIsShown(t *testing.T) {
	k := testKey(t, 1)
	for name, c := range map[string]struct {
		file, old, new, state string
	}{
		"a figure":  {findingsName, `"fit_factor": {`, `"fit_factor": {` + "\n" + ` "extra": 1,`, "figures_differ"},
		"a word":    {findingsName, "One face", "Many faces", "words_differ"},
		"the page":  {pageName, "<p>", "<p>Excellent! ", "page_differs"},
		"a summary": {summaryName, "Grey Cup", "Green Cup", "page_differs"},
	} {
		d, err := Make(smallStudy(), testCardWithLedger(t, k), testMaker())
		if err != nil {
			t.Fatal(err)
		}
		for i := range d.files {
			if d.files[i].Name == c.file {
				changed := bytes.Replace(d.files[i].Data, []byte(c.old), []byte(c.new), 1)
				if bytes.Equal(changed, d.files[i].Data) {
					t.Fatalf("%s: %q is not in %s", name, c.old, c.file)
				}
				d.files[i].Data = changed
			}
		}
		v := verified(t, sealedAs(t, d, k, newLedger()), Reader{})
		if v.Unchanged.State != "unchanged" || v.Recomputed.State != c.state || !v.Recomputed.Bad {
			t.Errorf("%s: %s, %s %q, want %s", name, v.Unchanged.State, v.Recomputed.State, v.Recomputed.Details, c.state)
		}
	}
}

func testCardWithLedger(t *testing.T, k interface {
	Note(string) []byte
}) Card {
	t.Helper()
	card := testCard(testKey(t, 1))
	card.Ledger = string(k.Note(newLedger().At(1).String()))
	return card
}

func TestEachStateOfAKeyHasItsOwnWords(t *testing.T) {
	k, thief := testKey(t, 1), testKey(t, 2)
	archive := sealed(t, smallStudy(), k, newLedger(), nil)
	told := func(s Statement) *Known {
		known := knowing(t, k, "A Tester")
		note, err := s.Sign(k)
		if err != nil {
			t.Fatal(err)
		}
		if err := known.Hear(note); err != nil {
			t.Fatal(err)
		}
		again, err := ReadKnown(known.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		return again
	}
	revoked := func(day string) Statement {
		return Statement{Kind: Revocation, Key: k.Public(), Date: day, Reason: "stolen"}
	}
	rotated := func(day string) Statement {
		return Statement{Kind: Rotation, Key: k.Public(), Successor: thief.Public(), Date: day, Reason: "new machine"}
	}
	successor := sealed(t, smallStudy(), thief, newLedger(), nil)
	unsigned := without(t, archive, signatureName)
	texts := map[string]string{}
	for _, c := range []struct {
		state   string
		archive []byte
		known   *Known
	}{
		{"known", archive, knowing(t, k, "A Tester")},
		{"unknown", archive, nil},
		{"changed", archive, knowing(t, thief, "a tester")},
		{"known_by_another_name", archive, knowing(t, k, "someone else")},
		{"revoked", archive, told(revoked("2026-08-20"))},
		{"revoked_later", archive, told(revoked("2026-08-21"))},
		{"replaced", archive, told(rotated("2026-08-19"))},
		{"known", successor, told(rotated("2026-08-19"))},
		{"missing", unsigned, knowing(t, k, "A Tester")},
		{"bad_signature", swapped(t, archive, signatureName, thief.Sign([]byte("x"), "y")), knowing(t, k, "A Tester")},
		{"two_signatures", swapped(t, archive, signatureName, append(k.Sign([]byte("x"), "y"), k.Sign([]byte("x"), "y")...)), nil},
	} {
		a := verified(t, c.archive, Reader{Known: c.known}).Key
		if a.State != c.state || a.Good != (c.state == "known") {
			t.Errorf("%q (good %v), want %q: %s", a.State, a.Good, c.state, a.Text)
		}
		if other := texts[a.Text]; other != "" && other != a.State {
			t.Errorf("%s and %s read the same", other, a.State)
		}
		texts[a.Text] = a.State
	}
	if _, err := revoked("2026-08-20").Sign(thief); err == nil {
		t.Error("another key may revoke")
	}
}

// without packs an archive anew without a file, in the one form.
func without(t *testing.T, archive []byte, name string) []byte { return swapped(t, archive, name, nil) }

func swapped(t *testing.T, archive []byte, name string, data []byte) []byte {
	t.Helper()
	files, _, err := unpack(archive)
	if err != nil {
		t.Fatal(err)
	}
	var out []File
	for _, f := range files {
		switch {
		case f.Name != name:
			out = append(out, f)
		case data != nil:
			out = append(out, File{name, data})
		}
	}
	return pack(out)
}

func TestALedgerThatWasRewrittenIsToldFromOneThatGrew(t *testing.T) {
	k, l := testKey(t, 1), newLedger()
	archive := sealed(t, smallStudy(), k, l, nil)
	l.Append(ledger.Record{Date: "2026-09-01", Kind: ledger.Rule, Subject: "test/2"})
	seen := l.At(3)
	wants(t, verified(t, archive, Reader{Seen: &seen, Ledger: l}), "unchanged", "unknown", "held", "agrees", "listed")
	wants(t, verified(t, archive, Reader{Seen: &seen}), "unchanged", "unknown", "in_ledger", "agrees", "listed")

	other := ledger.New(l.Origin())
	other.Append(ledger.Record{Date: "2026-08-01", Kind: ledger.Rule, Subject: "another past"})
	forged := sealed(t, smallStudy(), k, other, nil)
	same := l.At(2)
	for name, r := range map[string]Reader{"same size": {Seen: &same}, "with the ledger": {Seen: &seen, Ledger: other}, "not in this ledger": {Ledger: l}} {
		v := verified(t, forged, r)
		if v.Ledger.State != "rewritten" || !strings.Contains(v.Ledger.Text, "E162") {
			t.Errorf("%s: %s %s", name, v.Ledger.State, v.Ledger.Text)
		}
	}
	moved := swapped(t, archive, entryName, mustEntry(t, l, 2))
	if v := verified(t, moved, Reader{}); v.Ledger.State != "bad_entry" {
		t.Errorf("an entry of something else: %s", v.Ledger.State)
	}
	if v := verified(t, without(t, archive, entryName), Reader{}); v.Ledger.State != "not_in_ledger" || v.Ledger.Good {
		t.Errorf("no entry: %s", v.Ledger.State)
	}
}

func mustEntry(t *testing.T, l *ledger.Ledger, n int64) []byte {
	t.Helper()
	e, err := l.Entry(n, testKey(t, 1))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestARunThatWasStartedAndIsNotShownIsNamed(t *testing.T) {
	k, l := testKey(t, 1), newLedger()
	start := func(kind ledger.Kind, run string) {
		l.Append(ledger.Record{Date: "2026-08-14", Kind: kind, Study: "a small evening", Subject: run})
	}
	start(ledger.Started, "r1-1")
	start(ledger.Started, "r1-2")
	start(ledger.Started, "r1-0")
	start(ledger.Abandoned, "r1-0")
	whole := sealed(t, smallStudy(), k, l, nil)
	if v := verified(t, whole, Reader{Ledger: l}); v.Runs.State != "all_shown" {
		t.Errorf("%s %s %q", v.Runs.State, v.Runs.Text, v.Runs.Details)
	}
	start(ledger.Started, "r1-3")
	lost := sealed(t, smallStudy(), k, l, nil)
	if v := verified(t, lost, Reader{}); v.Runs.State != "runs_missing" || !strings.Contains(strings.Join(v.Runs.Details, " "), "r1-3") {
		t.Errorf("%s %q", v.Runs.State, v.Runs.Details)
	}
	hidden := sealed(t, smallStudy(), k, l, func(c *Card) { c.Started = nil })
	if v := verified(t, hidden, Reader{Ledger: l}); v.Runs.State != "runs_missing" {
		t.Errorf("left out of the card: %s %q", v.Runs.State, v.Runs.Details)
	}
}
