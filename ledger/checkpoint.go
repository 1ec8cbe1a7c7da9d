package ledger

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"telltale/signature"
)

// Checkpoint is a ledger's size and root at one time, in the text form that
// transparency logs use: origin, size, root, a line each.
type Checkpoint struct {
	Origin string
	Size   int64
	Root   string // base64 of 32 bytes
}

// String writes the text that is signed.
func (c Checkpoint) String() string { return fmt.Sprintf("%s\n%d\n%s\n", c.Origin, c.Size, c.Root) }

// At gives the checkpoint of the first n records.
func (l *Ledger) At(n int64) Checkpoint {
	if n < 0 || n > l.Size() {
		panic("ledger: checkpoint beyond the end")
	}
	return Checkpoint{l.origin, n, l.root(n).String()}
}

// Signed gives the checkpoint as a note signed by the key.
func (c Checkpoint) Signed(k signature.Key) []byte { return k.Note(c.String()) }

// OpenCheckpoint checks a signed checkpoint by the key.
func OpenCheckpoint(signed []byte, by signature.Public) (Checkpoint, error) {
	text, err := by.OpenNote(signed)
	if err != nil {
		return Checkpoint{}, err
	}
	return ParseCheckpoint(text)
}

// ParseCheckpoint reads the text of a checkpoint.
func ParseCheckpoint(text string) (Checkpoint, error) {
	bad := errors.New("this is not a checkpoint")
	lines := strings.Split(text, "\n")
	if len(lines) != 4 || lines[0] == "" || lines[3] != "" {
		return Checkpoint{}, bad
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 || size > 1<<40 {
		return Checkpoint{}, bad
	}
	c := Checkpoint{lines[0], size, lines[2]}
	if _, err := tlog.ParseHash(c.Root); err != nil || c.String() != text {
		return Checkpoint{}, bad
	}
	return c, nil
}

// ErrRewritten says that what was there before is not all there any more.
var ErrRewritten = errors.New("this ledger was rewritten since that checkpoint")

// Holds reports whether the ledger still begins with what it held at an older
// checkpoint.
func (l *Ledger) Holds(old Checkpoint) error {
	switch {
	case old.Origin != l.origin:
		return fmt.Errorf("the checkpoint is of %s, the ledger is %s", old.Origin, l.origin)
	case old.Size > l.Size() || l.At(old.Size) != old:
		return ErrRewritten
	}
	return nil
}

// Growth is the proof that a ledger of one size begins with the whole of it at a
// smaller size: hashes in base64.
type Growth []string

// Grown proves that the first newer records begin with the first older ones.
func (l *Ledger) Grown(older, newer int64) (Growth, error) {
	proof, err := tlog.ProveTree(newer, older, l.reader())
	if err != nil {
		return nil, fmt.Errorf("prove the growth of the ledger: %w", err)
	}
	out := Growth{}
	for _, h := range proof {
		out = append(out, h.String())
	}
	return out, nil
}

// Check checks the proof without the ledger.
func (g Growth) Check(older, newer Checkpoint) error {
	if older.Origin != newer.Origin {
		return fmt.Errorf("the checkpoints are of %s and %s", older.Origin, newer.Origin)
	}
	if older.Size == 0 {
		return nil // everything begins with nothing
	}
	proof, err := hashes(g)
	if err != nil {
		return err
	}
	oldRoot, err1 := tlog.ParseHash(older.Root)
	newRoot, err2 := tlog.ParseHash(newer.Root)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	if tlog.CheckTree(proof, newer.Size, newRoot, older.Size, oldRoot) != nil {
		return ErrRewritten
	}
	return nil
}

func hashes(lines []string) ([]tlog.Hash, error) {
	var out []tlog.Hash
	for _, s := range lines {
		h, err := tlog.ParseHash(s)
		if err != nil || h.String() != s {
			return nil, errors.New("a hash of the proof is not in its one form")
		}
		out = append(out, h)
	}
	return out, nil
}
