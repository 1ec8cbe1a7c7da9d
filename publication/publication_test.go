package publication

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"telltale/dossier"
	"telltale/fault"
	"telltale/finding"
	"telltale/ledger"
	"telltale/signature"
)

// study is an invented study of one run.
func study() fstest.MapFS {
	r := rand.New(rand.NewPCG(1, 0))
	var b strings.Builder
	b.WriteString("time_s,ambient_per_cm3,inside_per_cm3\n")
	for s := range 60 {
		fmt.Fprintf(&b, "%d,%.0f,%.1f\n", s, 8000+100*r.Float64(), 300+20*r.Float64())
	}
	return fstest.MapFS{
		"traces/a.csv": {Data: []byte(b.String())},
		"study.yaml": {Data: []byte(`format: telltale-study/1
title: a small evening
wearers: [{id: w1}]
counters: [{id: c1, kind: condensation, flow_cm3_s: 1.67}]
respirators: [{id: r1, name: Grey Cup, claim: FFP2, role: test, obtained: bought}]
wearings: [{id: a, respirator: r1, specimen: a, wearer: w1, counter: c1, at: 2026-08-14T18:05:00+02:00, trace: traces/a.csv}]
`)}}
}

func maker() dossier.Maker {
	return dossier.Maker{Program: finding.Program{Name: "telltale", Version: "0", Commit: "test"}}
}

func wish(folder fs.FS, day string) Wish {
	return Wish{Folder: folder, Publisher: "A Tester", License: dossier.License{Name: "CC-BY-4.0"}, Date: day}
}

func publish(t *testing.T, w Wish, k signature.Key, l *ledger.Ledger) *Sealed {
	t.Helper()
	p, err := Prepare(w, k.Public(), maker(), l)
	if err != nil {
		t.Fatal(err)
	}
	d, err := p.Draft(k, l)
	if err != nil {
		t.Fatal(err)
	}
	s, err := p.Seal(d, k, l)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func key(t *testing.T) signature.Key {
	t.Helper()
	k, err := signature.New(rand.NewChaCha8([32]byte{1}))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestTheSameStudyIsTheSameDossierOnAnyLaterDay(t *testing.T) {
	k := key(t)
	l := ledger.New("telltale/x")
	first := publish(t, wish(study(), "2026-08-20"), k, l)
	l.Append(ledger.Record{Date: "2026-08-25", Kind: ledger.Rule, Subject: "r/2"})
	again := publish(t, wish(study(), "2026-09-01"), k, l)
	if !again.Again || !bytes.Equal(first.Archive, again.Archive) || l.Size() != 2 {
		t.Errorf("again %v, same bytes %v, ledger of %d", again.Again, bytes.Equal(first.Archive, again.Archive), l.Size())
	}
	v, err := dossier.Verify(again.Archive, dossier.Reader{Maker: maker(), Ledger: l})
	if err != nil || !v.Unchanged.Good || v.Contradicted() {
		t.Error(err, v)
	}
}

func TestAPublishedStudyIsNotReplacedInSilence(t *testing.T) {
	k := key(t)
	l := ledger.New("telltale/x")
	first := publish(t, wish(study(), "2026-08-20"), k, l)
	changed := study()
	changed["study.yaml"].Data = bytes.Replace(changed["study.yaml"].Data, []byte("trace: traces/a.csv}"), []byte("trace: traces/a.csv, excluded: the wrong mask}"), 1)
	var f *fault.Fault
	if _, err := Prepare(wish(changed, "2026-08-21"), k.Public(), maker(), l); !errors.As(err, &f) || f.Code != "E187" {
		t.Fatal(err)
	}
	old, err := dossier.Verify(first.Archive, dossier.Reader{Maker: maker()})
	if err != nil {
		t.Fatal(err)
	}
	w := wish(changed, "2026-08-21")
	w.Amends, w.Earlier = &dossier.Amendment{Manifest: old.Manifest, Date: old.Card.Published, Reason: "the wrong mask was worn"}, dossier.StoredFindings(first.Archive)
	second := publish(t, w, k, l)
	if len(second.Draft.Card.Amends.Changes) == 0 || second.Record.Before != old.Manifest || second.Record.Kind != ledger.Amended {
		t.Errorf("%+v", second.Record)
	}
	if summary := string(fileOf(second, "summary.txt")); !strings.Contains(summary, "the wrong mask was worn") || !strings.Contains(summary, "was ") {
		t.Error("the summary does not say what changed and why")
	}
	for name, s := range map[string]*Sealed{"old": first, "new": second} {
		v, err := dossier.Verify(s.Archive, dossier.Reader{Maker: maker(), Ledger: l})
		if err != nil || !v.Unchanged.Good || v.Contradicted() {
			t.Errorf("%s: %v %+v", name, err, v)
		}
		if told := strings.Contains(v.Ledger.Text, "does not stand any more"); told != (name == "old") {
			t.Errorf("%s: %s", name, v.Ledger.Text)
		}
	}
	var all []Shown
	for name, s := range map[string]*Sealed{"old": first, "new": second} {
		v, err := dossier.Verify(s.Archive, dossier.Reader{Maker: maker()})
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, Shown{File: name + ".zip", Page: name + ".html", Verdict: v})
	}
	site, err := Site("t", all)
	if err != nil || !strings.Contains(string(site), "corrected on 2026-08-21: the wrong mask was worn") || strings.Contains(string(site), `href="old.html"`) || !strings.Contains(string(site), `href="new.html"`) {
		t.Errorf("the site shows figures that were corrected: %v\n%s", err, site)
	}
	if st := l.Statements(); len(st) != 2 || st[0].State != ledger.Replaced || st[1].State != ledger.Stands {
		t.Errorf("%+v", st)
	}
	page, err := StatementsPage(l, []byte("x"))
	if err != nil || !strings.Contains(string(page), "amended on 2026-08-21") || !strings.Contains(string(page), old.Manifest) {
		t.Error(err, string(page))
	}
}

func fileOf(s *Sealed, name string) []byte {
	for _, f := range s.Draft.Files() {
		if f.Name == name {
			return f.Data
		}
	}
	return nil
}

func TestAKeeperKeepsKeyLedgerAndCheckpoints(t *testing.T) {
	k, err := At(filepath.Join(t.TempDir(), "keys"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := k.Key(""); err == nil {
		t.Error("there is a key in an empty folder")
	}
	made, err := k.MakeKey("")
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(k.path(secretFile)); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the secret key may be read by others: %v %v", info.Mode(), err)
	}
	if _, err := k.MakeKey(""); err == nil {
		t.Error("a key was made over another")
	}
	back, err := k.Key("")
	if err != nil || !back.Public().Equal(made.Public()) {
		t.Error(err)
	}
	l, err := k.Ledger(made.Public())
	if err != nil {
		t.Fatal(err)
	}
	l.Append(ledger.Record{Date: "2026-08-20", Kind: ledger.Rule, Subject: "a"})
	if err := k.KeepLedger(l); err != nil {
		t.Fatal(err)
	}
	other := ledger.New(l.Origin())
	other.Append(ledger.Record{Date: "2026-08-20", Kind: ledger.Rule, Subject: "b"})
	other.Append(ledger.Record{Date: "2026-08-20", Kind: ledger.Rule, Subject: "c"})
	if err := k.KeepLedger(other); err == nil || !strings.Contains(err.Error(), "E162") {
		t.Errorf("another past was written over the ledger: %v", err)
	}
	if err := k.KeepSeen(l.At(1)); err != nil {
		t.Fatal(err)
	}
	if c, err := k.Seen(l.Origin()); err != nil || *c != l.At(1) {
		t.Error(c, err)
	}
	if c, err := k.Seen("../../etc/passwd"); c != nil || err != nil {
		t.Error("a strange origin reaches a file", c, err)
	}
	release, err := k.Lock()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := k.Lock(); err == nil || !strings.Contains(err.Error(), "E182") {
		t.Errorf("two at once: %v", err)
	}
	release()
	if release, err = k.Lock(); err != nil {
		t.Error(err)
	}
	release()
}

func TestThePreviewShowsWhatLeaves(t *testing.T) {
	k := key(t)
	s := study()
	s["traces/a.csv"].Data = append([]byte("# operator: Ann\n"), s["traces/a.csv"].Data...)
	s["study.yaml"].Data = bytes.ReplaceAll(s["study.yaml"].Data, []byte("w1"), []byte("ann"))
	p, err := Prepare(wish(s, "2026-08-20"), k.Public(), maker(), ledger.New("x"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := p.Draft(k, ledger.New("x"))
	if err != nil {
		t.Fatal(err)
	}
	all := ""
	for _, l := range d.Leaving() {
		all += fmt.Sprintf("%s|%s|%s|%s\n", l.Where, l.What, l.Value, l.Look)
	}
	for _, want := range []string{"study/traces/a.csv|file, byte by byte", "operator: Ann|this may name a person, a place or your counter; holds \"ann\"", `"ann" is called wearer-1`, "obtained: bought", "face unmeasured"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in the preview:\n%s", want, all)
		}
	}
	if left := d.NamesLeft(); len(left) != 1 || !strings.Contains(left[0], "study/traces/a.csv") {
		t.Error(left)
	}
	for _, f := range d.Files() {
		if !strings.Contains(all, f.Name+"|") {
			t.Errorf("%s leaves without being shown", f.Name)
		}
	}
}
