// Package publication answers: what leaves this machine, under which key, and
// where was it written down?
//
// It keeps a publisher's key, ledger, known keys and kept checkpoints in one
// folder, makes the files of a publication around a dossier, and never writes a
// file by halves. It assumes that one program at a time writes to the folder, and
// holds a lock file to see to it. It refuses to replace a published statement in
// silence: a study that was published before can only be amended.
package publication

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"telltale/dossier"
	"telltale/fault"
	"telltale/ledger"
	"telltale/signature"
)

// Names of the files in a keeper's folder.
const (
	secretFile = "key.minisign"
	publicFile = "key.pub"
	ledgerFile = "ledger.txt"
	knownFile  = "known-keys.txt"
	seenFolder = "seen"
	lockFile   = "lock"
)

// Keeper is the folder of a publisher or reader.
type Keeper struct{ dir string }

// At gives the keeper of a folder; "" is the usual one of this user.
func At(dir string) (Keeper, error) {
	if dir == "" {
		base, err := os.UserConfigDir()
		if err != nil {
			return Keeper{}, &fault.Fault{Code: "E180", What: "this system names no folder for settings", Do: "Name a folder with --keys.", Err: err}
		}
		dir = filepath.Join(base, "telltale")
	}
	return Keeper{dir}, nil
}

// Dir is the folder.
func (k Keeper) Dir() string { return k.dir }

func (k Keeper) path(name string) string { return filepath.Join(k.dir, name) }

// read gives a file of the folder, nil when there is none.
func (k Keeper) read(name string) ([]byte, error) {
	data, err := os.ReadFile(k.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, &fault.Fault{Code: "E181", File: k.path(name), What: "cannot be read", Do: err.Error() + ".", Err: err}
	}
	return data, nil
}

func (k Keeper) write(name string, data []byte, mode os.FileMode) error {
	if err := os.MkdirAll(filepath.Dir(k.path(name)), 0o700); err != nil {
		return cannotWrite(k.path(name), err)
	}
	return Replace(k.path(name), data, mode)
}

// Lock keeps other programs of this user from writing to the folder until the
// function it gives is called.
func (k Keeper) Lock() (release func(), err error) {
	if err := os.MkdirAll(k.dir, 0o700); err != nil {
		return nil, cannotWrite(k.dir, err)
	}
	path := k.path(lockFile)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, &fault.Fault{Code: "E182", File: path, What: "another publication seems to be under way", Do: "Wait for it. If none is running, remove this file.", Err: err}
	}
	f.Close()
	return func() { os.Remove(path) }, nil
}

// HasKey reports whether a key was made, and whether it needs a passphrase.
func (k Keeper) HasKey() (made, locked bool, err error) {
	text, err := k.read(secretFile)
	return text != nil, text != nil && signature.Locked(text), err
}

// MakeKey makes the key and keeps it, locked when there is a passphrase.
func (k Keeper) MakeKey(passphrase string) (signature.Key, error) {
	if made, _, err := k.HasKey(); err != nil || made {
		return signature.Key{}, errors.Join(err, &fault.Fault{Code: "E183", File: k.path(secretFile), What: "there is a key already", Do: "Replace it with the command keys rotate."})
	}
	key, err := signature.New(rand.Reader)
	if err != nil {
		return key, err
	}
	return key, k.KeepKey(key, passphrase)
}

// KeepKey writes a key's two files; an earlier key is replaced.
func (k Keeper) KeepKey(key signature.Key, passphrase string) error {
	text, err := key.Text(passphrase)
	if err != nil {
		return err
	}
	if err := k.write(secretFile, text, 0o600); err != nil {
		return err
	}
	return k.write(publicFile, key.Public().Text(), 0o644)
}

// Key opens the secret key.
func (k Keeper) Key(passphrase string) (signature.Key, error) {
	text, err := k.read(secretFile)
	if err != nil {
		return signature.Key{}, err
	}
	if text == nil {
		return signature.Key{}, &fault.Fault{Code: "E183", File: k.path(secretFile), What: "there is no key yet", Do: "Make one with the command keys new."}
	}
	key, err := signature.ReadKey(text, passphrase)
	if err != nil {
		return key, &fault.Fault{Code: "E184", File: k.path(secretFile), What: err.Error(), Do: "Try the passphrase again; without it the key is lost, and a new one has to be made known.", Err: err}
	}
	return key, nil
}

// Public gives the public half without opening the key.
func (k Keeper) Public() (signature.Public, error) {
	text, err := k.read(publicFile)
	if err != nil {
		return signature.Public{}, err
	}
	if text == nil {
		return signature.Public{}, &fault.Fault{Code: "E183", File: k.path(publicFile), What: "there is no key yet", Do: "Make one with the command keys new."}
	}
	return signature.ReadPublic(text)
}

// Ledger gives the publisher's own ledger; of a new publisher it is empty and
// named after the key.
func (k Keeper) Ledger(p signature.Public) (*ledger.Ledger, error) {
	text, err := k.read(ledgerFile)
	if err != nil {
		return nil, err
	}
	if text == nil {
		return ledger.New("telltale/" + p.ID()), nil
	}
	l, err := ledger.Read(text)
	if err != nil {
		return nil, &fault.Fault{Code: "E185", File: k.path(ledgerFile), What: err.Error(), Do: "Put back the copy that you published last; nothing is written until it reads.", Err: err}
	}
	return l, nil
}

// KeepLedger writes the ledger. It refuses one that does not begin with what the
// file holds.
func (k Keeper) KeepLedger(l *ledger.Ledger) error {
	text, err := k.read(ledgerFile)
	if err != nil {
		return err
	}
	if text != nil {
		old, err := ledger.Read(text)
		if err != nil {
			return err
		}
		if err := l.Holds(old.At(old.Size())); err != nil {
			return &fault.Fault{Code: "E162", File: k.path(ledgerFile), What: err.Error(), Do: "Nothing was written.", Err: err}
		}
	}
	return k.write(ledgerFile, l.Bytes(), 0o644)
}

// Known gives the keys that this reader knows.
func (k Keeper) Known() (*dossier.Known, error) {
	text, err := k.read(knownFile)
	if err != nil {
		return nil, err
	}
	known, err := dossier.ReadKnown(text)
	if err != nil {
		return nil, &fault.Fault{Code: "E186", File: k.path(knownFile), What: err.Error(), Do: "Mend the line, or remove it.", Err: err}
	}
	return known, nil
}

// KeepKnown writes the keys that this reader knows.
func (k Keeper) KeepKnown(known *dossier.Known) error {
	return k.write(knownFile, known.Bytes(), 0o644)
}

// Seen gives the newest checkpoint that was kept of a ledger, nil without one.
func (k Keeper) Seen(origin string) (*ledger.Checkpoint, error) {
	text, err := k.read(filepath.Join(seenFolder, plain(origin)))
	if err != nil || text == nil {
		return nil, err
	}
	c, err := ledger.ParseCheckpoint(string(text))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", k.path(filepath.Join(seenFolder, plain(origin))), err)
	}
	return &c, nil
}

// KeepSeen keeps a checkpoint of a ledger for the next time.
func (k Keeper) KeepSeen(c ledger.Checkpoint) error {
	return k.write(filepath.Join(seenFolder, plain(c.Origin)), []byte(c.String()), 0o644)
}

// plain makes a file name of an origin: letters, digits and points stay, all else
// is written as its number.
func plain(origin string) string {
	var b strings.Builder
	for i := 0; i < len(origin); i++ {
		c := origin[i]
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "_%02x", c)
		}
	}
	if b.Len() > 200 {
		return b.String()[:200]
	}
	return b.String()
}

// Replace writes a file whole or not at all: beside its place first, then renamed
// over it.
func Replace(path string, data []byte, mode os.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return cannotWrite(path, err)
	}
	defer os.Remove(f.Name()) // gone already when the rename went well
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if errClose := f.Close(); err == nil {
		err = errClose
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return cannotWrite(path, err)
	}
	return nil
}

func cannotWrite(path string, err error) error {
	return &fault.Fault{Code: "E304", File: path, What: "cannot be written", Do: err.Error() + ". Name another folder with --out.", Err: err}
}
