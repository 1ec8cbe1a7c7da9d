package signature

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func testKey(t *testing.T, seed byte) Key {
	t.Helper()
	k, err := New(rand.NewChaCha8([32]byte{seed}))
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestTheGenericToolAcceptsWhatWeSign(t *testing.T) {
	tool, err := exec.LookPath("minisign")
	if err != nil {
		t.Skip("minisign is not installed (Debian: apt-get install minisign); not checked against it")
	}
	k := testKey(t, 1)
	dir := t.TempDir()
	message := []byte("abc\n")
	for name, data := range map[string][]byte{"m": message, "m.minisig": k.Sign(message, "a signed comment"), "k.pub": k.Public().Text()} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	check := func() ([]byte, error) {
		cmd := exec.Command(tool, "-V", "-m", "m", "-p", "k.pub")
		cmd.Dir = dir
		return cmd.CombinedOutput()
	}
	if out, err := check(); err != nil || !strings.Contains(string(out), "a signed comment") {
		t.Errorf("minisign says %v: %s", err, out)
	}
	os.WriteFile(filepath.Join(dir, "m"), []byte("abd\n"), 0o600)
	if out, err := check(); err == nil {
		t.Errorf("minisign accepts another message: %s", out)
	}
}

func TestASecretKeyReadsBack(t *testing.T) {
	k := testKey(t, 2)
	text, err := k.Text("")
	if err != nil || Locked(text) {
		t.Fatal(err, Locked(text))
	}
	again, err := ReadKey(text, "")
	if err != nil || !again.Public().Equal(k.Public()) {
		t.Fatalf("read back: %v", err)
	}
	if _, err := ReadKey([]byte("hello"), ""); err == nil {
		t.Error("any text is taken for a key")
	}
	pub, err := ReadPublic(k.Public().Text())
	if err != nil || !pub.Equal(k.Public()) {
		t.Error("the public key does not read back", err)
	}
}

func TestEachByteOfASignatureCounts(t *testing.T) {
	k := testKey(t, 3)
	message := []byte("the figures")
	file := k.Sign(message, "comment")
	if c, err := k.Public().Check(message, file); err != nil || c != "comment" {
		t.Fatal(c, err)
	}
	noted := k.Note("kind\nwords\n")
	if text, err := k.Public().OpenNote(noted); err != nil || text != "kind\nwords\n" {
		t.Fatal(text, err)
	}
	for bit := range 8 {
		for i := range file {
			bad := bytes.Clone(file)
			bad[i] ^= 1 << bit
			if _, err := k.Public().Check(message, bad); err == nil {
				t.Errorf("bit %d of byte %d of the signature may change", bit, i)
			}
		}
		for i := range noted {
			bad := bytes.Clone(noted)
			bad[i] ^= 1 << bit
			if _, err := k.Public().OpenNote(bad); err == nil {
				t.Errorf("bit %d of byte %d of the note may change", bit, i)
			}
		}
	}
}

func TestEachTroubleOfASignatureHasItsName(t *testing.T) {
	k, other := testKey(t, 4), testKey(t, 5)
	m := []byte("m")
	for _, c := range []struct {
		name string
		file []byte
		want error
	}{
		{"none", nil, ErrForm},
		{"another key's", other.Sign(m, "c"), ErrOther},
		{"of other bytes", k.Sign([]byte("n"), "c"), ErrBad},
		{"two", append(k.Sign(m, "c"), other.Sign(m, "c")...), ErrTwo},
	} {
		if _, err := k.Public().Check(m, c.file); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := k.Public().OpenNote(other.Note("a\n")); !errors.Is(err, ErrOther) {
		t.Errorf("another key's note: %v", err)
	}
}

func TestWordsAreApartForTheEar(t *testing.T) {
	if len(wordList) != 256 {
		t.Fatalf("%d words, want one a byte", len(wordList))
	}
	seen := map[string]string{}
	for _, w := range wordList {
		if len(w) < 4 || len(w) > 7 {
			t.Errorf("%s has %d letters", w, len(w))
		}
		if o := seen[w[:4]]; o != "" {
			t.Errorf("%s and %s begin alike", o, w)
		}
		seen[w[:4]] = w
	}
	a, b := testKey(t, 6).Public().Words(), testKey(t, 7).Public().Words()
	if len(a) != 12 || strings.Join(a, " ") == strings.Join(b, " ") {
		t.Error("two keys, the same words", a)
	}
}
