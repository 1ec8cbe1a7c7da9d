package stamp

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// authority makes a local authority with openssl: a root, a certificate for time
// stamps under it, and gives how it answers for a file.
func authority(t *testing.T, dir string) {
	t.Helper()
	if _, err := exec.LookPath("openssl"); err != nil {
		t.Skip("openssl is not installed (Debian: apt-get install openssl); no authority to check against")
	}
	write(t, dir, "ext", "extendedKeyUsage=critical,timeStamping\nkeyUsage=critical,digitalSignature\n")
	write(t, dir, "tsa.cnf", `[tsa]
default_tsa = one
[one]
serial = serial
signer_cert = tsa.pem
signer_key = tsa.key
certs = root.pem
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha512
accuracy = secs:1
ess_cert_id_alg = sha256
`)
	write(t, dir, "serial", "01\n")
	openssl(t, dir, "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-keyout", "root.key", "-out", "root.pem", "-subj", "/CN=A root", "-days", "30")
	openssl(t, dir, "req", "-newkey", "rsa:2048", "-nodes", "-keyout", "tsa.key", "-out", "tsa.csr", "-subj", "/CN=A clock")
	openssl(t, dir, "x509", "-req", "-in", "tsa.csr", "-CA", "root.pem", "-CAkey", "root.key", "-CAcreateserial", "-out", "tsa.pem", "-days", "30", "-extfile", "ext")
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, dir, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func openssl(t *testing.T, dir string, args ...string) {
	t.Helper()
	cmd := exec.Command("openssl", args...)
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("openssl %v: %v: %s", args, err, out)
	}
}

// stamped asks the authority for a stamp of a message.
func stamped(t *testing.T, dir, message string, more ...string) []byte {
	t.Helper()
	write(t, dir, "m", message)
	openssl(t, dir, append([]string{"ts", "-query", "-data", "m", "-out", "q.tsq"}, more...)...)
	openssl(t, dir, "ts", "-reply", "-config", "tsa.cnf", "-section", "one", "-queryfile", "q.tsq", "-out", "a.tsr")
	return read(t, dir, "a.tsr")
}

func TestAStampIsTakenFromTheNamedAuthorityAlone(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	authority(t, dir)
	authority(t, other)
	begin := time.Now().Add(-2 * time.Second)
	answer := stamped(t, dir, "the manifest", "-sha256", "-cert")
	root := read(t, dir, "root.pem")
	s, err := Check(answer, []byte("the manifest"), root)
	if err != nil || s.Time.Before(begin) || s.Time.After(time.Now().Add(2*time.Second)) || s.Authority != "CN=A clock" {
		t.Fatalf("%+v %v", s, err)
	}
	for name, c := range map[string]struct {
		answer, message, root []byte
		want                  error
	}{
		"other bytes":       {answer, []byte("another manifest"), root, ErrOther},
		"another authority": {answer, []byte("the manifest"), read(t, other, "root.pem"), ErrTrust},
		"no certificate":    {stamped(t, dir, "the manifest", "-sha256"), []byte("the manifest"), root, ErrTrust},
		"another digest":    {stamped(t, dir, "the manifest", "-sha512", "-cert"), []byte("the manifest"), root, ErrOther},
		"text":              {[]byte("hello"), []byte("the manifest"), root, ErrForm},
		"no root":           {answer, []byte("the manifest"), []byte("hello"), ErrAccepts},
	} {
		if _, err := Check(c.answer, c.message, c.root); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	taken := 0
	for i := range answer {
		answer[i] ^= 1
		if got, err := Check(answer, []byte("the manifest"), root); err == nil && got != s {
			t.Errorf("byte %d may change what the stamp says", i)
		} else if err == nil {
			taken++ // a byte outside what is signed, such as the serial of a spare certificate
		}
		answer[i] ^= 1
	}
	t.Logf("%d of %d bytes lie outside what the signature covers; none changes time or authority", taken, len(answer))
}
