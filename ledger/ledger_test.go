package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"golang.org/x/mod/sumdb/tlog"

	"telltale/signature"
)

func key(t *testing.T) signature.Key {
	t.Helper()
	k, err := signature.New(rand.NewChaCha8([32]byte{1}))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func grown(n int, change int) *Ledger {
	l := New("telltale/test")
	for i := range n {
		r := Record{Date: "2026-08-20", Kind: Published, Subject: fmt.Sprintf("sha256:%d", i)}
		if i == change {
			r.Subject += "x"
		}
		l.Append(r)
	}
	return l
}

func TestGrowthIsProvedForAllSizesAndRefusedAfterAnyChange(t *testing.T) {
	const most = 300
	l := grown(most, -1)
	points := make([]Checkpoint, most+1)
	for n := range points {
		points[n] = l.At(int64(n))
	}
	for m := 1; m <= most; m++ {
		other := grown(m, m-1) // its last record differs
		for n := m; n <= most; n++ {
			g, err := l.Grown(int64(m), int64(n))
			if err != nil {
				t.Fatal(m, n, err)
			}
			if err := g.Check(points[m], points[n]); err != nil {
				t.Fatalf("%d in %d: %v", m, n, err)
			}
			if err := g.Check(other.At(int64(m)), points[n]); err == nil {
				t.Fatalf("%d in %d: a changed record passes", m, n)
			}
		}
	}
}

func TestALedgerKnowsWhetherItHoldsAnOldCheckpoint(t *testing.T) {
	l := grown(40, -1)
	for n := int64(0); n <= 40; n++ {
		if err := l.Holds(l.At(n)); err != nil {
			t.Errorf("size %d: %v", n, err)
		}
	}
	for change := range 40 {
		if err := grown(50, change).Holds(l.At(40)); !errors.Is(err, ErrRewritten) {
			t.Errorf("record %d changed: %v", change, err)
		}
	}
	if err := grown(39, -1).Holds(l.At(40)); !errors.Is(err, ErrRewritten) {
		t.Errorf("a record was taken away: %v", err)
	}
}

func TestAnEntryStaysTheSameWhileTheLedgerGrows(t *testing.T) {
	k, l := key(t), grown(7, -1)
	text, err := l.Entry(5, k)
	if err != nil {
		t.Fatal(err)
	}
	for range 30 {
		l.Append(Record{Date: "2026-09-01", Kind: Rule, Subject: "r/2"})
	}
	if again, _ := l.Entry(5, k); !bytes.Equal(text, again) {
		t.Error("the entry changed")
	}
	e, err := OpenEntry(text, k.Public())
	if err != nil || e.Record.N != 5 || e.Checkpoint.Size != 6 {
		t.Fatal(e, err)
	}
	for i := range text {
		for bit := range 8 {
			bad := bytes.Clone(text)
			bad[i] ^= 1 << bit
			if _, err := OpenEntry(bad, k.Public()); err == nil {
				t.Fatalf("bit %d of byte %d may change", bit, i)
			}
		}
	}
}

// The library's own checker, fed with the ledger's file alone: records hashed one
// by one, no code of this package between.
func TestTheLibrarysOwnCheckerAgreesWithTheFile(t *testing.T) {
	l := grown(23, -1)
	var stored []tlog.Hash
	read := tlog.HashReaderFunc(func(at []int64) (out []tlog.Hash, err error) {
		for _, i := range at {
			out = append(out, stored[i])
		}
		return out, nil
	})
	for n, line := range bytes.Split(bytes.TrimSpace(l.Bytes()), []byte("\n"))[1:] {
		more, err := tlog.StoredHashes(int64(n), line, read)
		if err != nil {
			t.Fatal(err)
		}
		stored = append(stored, more...)
	}
	root, err := tlog.TreeHash(23, read)
	if err != nil || root.String() != l.At(23).Root {
		t.Errorf("root %v, ours %s (%v)", root, l.At(23).Root, err)
	}
}

func TestAFileReadsBackAndRefusesOtherForms(t *testing.T) {
	l := grown(3, -1)
	file := l.Bytes()
	again, err := Read(file)
	if err != nil || again.At(3) != l.At(3) {
		t.Fatal(err)
	}
	for name, bad := range map[string][]byte{
		"empty":         nil,
		"cut":           file[:len(file)-1],
		"gap":           bytes.Replace(file, []byte(`"n":1`), []byte(`"n":2`), 1),
		"blank":         bytes.Replace(file, []byte(`{"n"`), []byte(`{ "n"`), 1),
		"unknown key":   bytes.Replace(file, []byte(`{"n"`), []byte(`{"x":1,"n"`), 1),
		"odd case":      bytes.Replace(file, []byte(`{"n"`), []byte(`{"N"`), 1),
		"no first line": file[bytes.IndexByte(file, '\n')+1:],
	} {
		if _, err := Read(bad); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}
