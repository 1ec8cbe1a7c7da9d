package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"telltale/signature"
)

// entryFormat is the first line of an entry.
const entryFormat = "telltale-ledger-entry/1"

// Entry is one record with the proof that a ledger holds it, and the checkpoint
// of the ledger just after it was written.
type Entry struct {
	Record     Record
	Checkpoint Checkpoint
}

// ErrEntry says that an entry does not show what it claims to.
var ErrEntry = errors.New("the entry does not fit its checkpoint")

// Entry writes record n with its proof as text, signed. The same ledger up to n
// and the same key give the same bytes, however far the ledger has grown since.
func (l *Ledger) Entry(n int64, k signature.Key) ([]byte, error) {
	if n < 0 || n >= l.Size() {
		return nil, fmt.Errorf("the ledger has no record %d", n)
	}
	proof, err := tlog.ProveRecord(n+1, n, l.reader())
	if err != nil {
		return nil, fmt.Errorf("prove record %d: %w", n, err)
	}
	return entryText(l.records[n], proof, l.At(n+1).Signed(k)), nil
}

func entryText(r Record, proof tlog.RecordProof, checkpoint []byte) []byte {
	var b bytes.Buffer
	b.WriteString(entryFormat + "\n")
	b.Write(r.line())
	b.WriteByte('\n')
	for _, h := range proof {
		b.WriteString(h.String() + "\n")
	}
	b.WriteByte('\n')
	b.Write(checkpoint)
	return b.Bytes()
}

// OpenEntry checks an entry by the key: its form, the signature of its checkpoint,
// and that the record is in the tree.
func OpenEntry(text []byte, by signature.Public) (Entry, error) {
	head, signed, ok := bytes.Cut(text, []byte("\n\n"))
	lines := strings.Split(string(head), "\n")
	if !ok || lines[0] != entryFormat || len(lines) < 2 || len(lines) > 2+64 {
		return Entry{}, errors.New("this is not an entry of a ledger")
	}
	r, err := ParseRecord([]byte(lines[1]))
	if err != nil {
		return Entry{}, err
	}
	proof, err := hashes(lines[2:])
	if err != nil {
		return Entry{}, err
	}
	c, err := OpenCheckpoint(signed, by)
	if err != nil {
		return Entry{}, err
	}
	root, err := tlog.ParseHash(c.Root)
	if err != nil {
		return Entry{}, err
	}
	if c.Size != r.N+1 || tlog.CheckRecord(proof, c.Size, root, r.N, tlog.RecordHash(r.line())) != nil {
		return Entry{}, ErrEntry
	}
	return Entry{r, c}, nil
}
