package dossier

import (
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"telltale/finding"
	"telltale/ledger"
	"telltale/record"
	"telltale/signature"
)

// studyYAML is an invented study: two runs, one of them excluded, and a name
// where a code belongs.
const studyYAML = `format: telltale-study/1
title: a small evening
wearers:
  - {id: Ruth, facial_hair: none}
counters:
  - {id: c1, kind: condensation, flow_cm3_s: 1.67}
respirators:
  - {id: r1, name: Grey Cup, claim: FFP2, role: test, obtained: bought}
wearings:
  - {id: r1-1, respirator: r1, specimen: a, wearer: Ruth, counter: c1, at: 2026-08-14T18:05:00+02:00, trace: traces/r1-1.csv}
  - {id: r1-2, respirator: r1, specimen: a, wearer: Ruth, counter: c1, at: 2026-08-14T18:25:00+02:00, trace: traces/r1-2.csv, excluded: the line came off}
`

func smallStudy() fstest.MapFS {
	files := fstest.MapFS{"study.yaml": {Data: []byte(studyYAML)}}
	for k := 1; k <= 2; k++ {
		r := rand.New(rand.NewPCG(uint64(k), 0))
		var b strings.Builder
		b.WriteString("# room: a kitchen\ntime_s,ambient_per_cm3,inside_per_cm3\n")
		for s := range 60 {
			fmt.Fprintf(&b, "%d,%.0f,%.1f\n", s, 8000+100*r.Float64(), 300+20*r.Float64())
		}
		files[fmt.Sprintf("traces/r1-%d.csv", k)] = &fstest.MapFile{Data: []byte(b.String())}
	}
	return files
}

func testKey(t testing.TB, seed byte) signature.Key {
	t.Helper()
	k, err := signature.New(rand.NewChaCha8([32]byte{seed}))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func testMaker() Maker {
	return Maker{Program: finding.Program{Name: "telltale", Version: "0.0.0", Commit: "test"},
		Page: func(w io.Writer, f *finding.Findings, _ *record.Study) error {
			_, err := fmt.Fprintf(w, "<!doctype html><p>%s", f.Respirators[0].Headline)
			return err
		}}
}

func testCard(k signature.Key) Card {
	return Card{Publisher: "A Tester", Key: k.Public().String(), Published: "2026-08-20", License: License{"CC-BY-4.0", "https://creativecommons.org/licenses/by/4.0/"}}
}

// sealed makes a dossier of a folder, signs it and writes it into the ledger.
func sealed(t testing.TB, folder fstest.MapFS, k signature.Key, l *ledger.Ledger, change func(*Card)) []byte {
	t.Helper()
	card := testCard(k)
	card.Ledger = string(l.At(l.Size()).Signed(k))
	card.Started = StartedRuns(l, "a small evening", l.Size())
	if change != nil {
		change(&card)
	}
	d, err := Make(folder, card, testMaker())
	if err != nil {
		t.Fatal(err)
	}
	return sealedAs(t, d, k, l)
}

func sealedAs(t testing.TB, d *Draft, k signature.Key, l *ledger.Ledger) []byte {
	t.Helper()
	r := l.Append(ledger.Record{Date: d.Card.Published, Kind: ledger.Published, Study: d.Card.Study, Subject: digest(d.Manifest())})
	entry, err := l.Entry(r.N, k)
	if err != nil {
		t.Fatal(err)
	}
	return d.Seal(k.Sign(d.Manifest(), d.Comment()), entry)
}

func verified(t *testing.T, archive []byte, r Reader) *Verdict {
	t.Helper()
	if r.Maker.Page == nil {
		r.Maker = testMaker()
	}
	v, err := Verify(archive, r)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// wants checks the five states.
func wants(t *testing.T, v *Verdict, states ...string) {
	t.Helper()
	for i, a := range v.Answers() {
		if a.State != states[i] {
			t.Errorf("%s %q, want %q: %s %q", a.Question, a.State, states[i], a.Text, a.Details)
		}
	}
}

// knowing is a reader who knows a key by a name.
func knowing(t *testing.T, k signature.Key, name string) *Known {
	t.Helper()
	known := &Known{}
	if err := known.Trust(k.Public(), name, "2026-01-01"); err != nil {
		t.Fatal(err)
	}
	return known
}

func newLedger() *ledger.Ledger {
	l := ledger.New("telltale/test")
	l.Append(ledger.Record{Date: "2026-08-01", Kind: ledger.Rule, Subject: "test/1"})
	return l
}
