package dossier

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// openssl makes an authority and its stamp of a manifest; the stamp is of today,
// the invented study of August 2026.
func stampOf(t *testing.T, manifest []byte) (answer, root []byte) {
	t.Helper()
	if _, err := exec.LookPath("openssl"); err != nil {
		t.Skip("openssl is not installed (Debian: apt-get install openssl); no authority to check against")
	}
	dir := t.TempDir()
	files := map[string]string{"m": string(manifest), "serial": "01\n", "ext": "extendedKeyUsage=critical,timeStamping\n",
		"c": "[one]\nserial = serial\nsigner_cert = t.pem\nsigner_key = t.key\nsigner_digest = sha256\ndefault_policy = 1.2.3.4.1\ndigests = sha256\ness_cert_id_alg = sha256\n"}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, line := range []string{
		"req -x509 -newkey rsa:2048 -nodes -keyout r.key -out r.pem -subj /CN=R -days 3",
		"req -newkey rsa:2048 -nodes -keyout t.key -out t.csr -subj /CN=Clock",
		"x509 -req -in t.csr -CA r.pem -CAkey r.key -CAcreateserial -out t.pem -days 3 -extfile ext",
		"ts -query -data m -sha256 -cert -out q",
		"ts -reply -config c -section one -queryfile q -out a",
	} {
		cmd := exec.Command("openssl", strings.Fields(line)...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("openssl %s: %v: %s", line, err, out)
		}
	}
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	return read("a"), read("r.pem")
}

func TestAStampSaysBeforeWhenOrNothing(t *testing.T) {
	past := smallStudy()
	past["study.yaml"].Data = []byte(strings.ReplaceAll(studyYAML, "2026-08-14", "2001-08-14"))
	future := smallStudy()
	future["study.yaml"].Data = []byte(strings.ReplaceAll(studyYAML, "2026-08-14", "2099-08-14"))
	archive, later := sealed(t, past, testKey(t, 1), newLedger(), nil), sealed(t, future, testKey(t, 1), newLedger(), nil)
	manifestOf := func(a []byte) []byte {
		files, _, err := unpack(a)
		if err != nil {
			t.Fatal(err)
		}
		return files[0].Data
	}
	answer, root := stampOf(t, manifestOf(archive))
	v := verified(t, archive, Reader{Stamp: answer, Authority: root})
	if v.Ledger.State != "stamped" || !v.Ledger.Good || !strings.Contains(strings.Join(v.Ledger.Details, " "), "CN=Clock") {
		t.Errorf("%+v", v.Ledger)
	}
	if v := verified(t, good(t), Reader{Stamp: answer, Authority: root}); v.Ledger.State != "bad_stamp" || !strings.Contains(v.Ledger.Text, "E163") {
		t.Errorf("a stamp of another dossier: %+v", v.Ledger)
	}
	answer, root = stampOf(t, manifestOf(later))
	if v := verified(t, later, Reader{Stamp: answer, Authority: root}); v.Ledger.State != "bad_stamp" || !strings.Contains(v.Ledger.Text, "before the last run") {
		t.Errorf("a stamp from before the runs: %+v", v.Ledger)
	}
}
