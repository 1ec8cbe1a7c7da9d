package main

import (
	"crypto/rand"
	"fmt"
	"os"
	"strings"
	"time"

	"telltale/dossier"
	"telltale/ledger"
	"telltale/publication"
	"telltale/signature"
)

type keysCmd struct {
	Show   keysShowCmd   `cmd:"" default:"withargs" help:"Show your key, its words, and where it is."`
	New    keysNewCmd    `cmd:"" help:"Make your key."`
	Lock   keysLockCmd   `cmd:"" help:"Give your key a passphrase, or another one."`
	Trust  keysTrustCmd  `cmd:"" help:"Know someone's key under a name, or hear what its holder says of it."`
	Rotate keysRotateCmd `cmd:"" help:"Replace your key by a new one, with a statement signed by the old one."`
	Revoke keysRevokeCmd `cmd:"" help:"Say, signed by your key, that it is not to be believed from a day on."`
}

func showKey(s streams, keeper publication.Keeper, p signature.Public) error {
	_, err := fmt.Fprintf(s.out, "Key %s in %s\n%s\nIts words, to read out on a recording:\n  %s\n", p.ID(), keeper.Dir(), p, strings.Join(p.Words(), " "))
	return err
}

type keysShowCmd struct{ keyFlags }

// Run shows the public key.
func (c keysShowCmd) Run(s streams) error {
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return err
	}
	p, err := keeper.Public()
	if err != nil {
		return err
	}
	return showKey(s, keeper, p)
}

type keysNewCmd struct{ keyFlags }

// Run makes a key, locked when a passphrase is given by file or environment.
func (c keysNewCmd) Run(s streams) error {
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return err
	}
	release, err := keeper.Lock()
	if err != nil {
		return err
	}
	defer release()
	phrase := ""
	if _, set := os.LookupEnv("TELLTALE_PASSPHRASE"); set || c.PassphraseFile != "" {
		if phrase, err = c.passphrase(s); err != nil {
			return err
		}
		fmt.Fprintln(s.err, "Locking the key; this takes many seconds by intent, each time it is used.")
	}
	key, err := keeper.MakeKey(phrase)
	if err != nil {
		return err
	}
	return showKey(s, keeper, key.Public())
}

type keysLockCmd struct {
	keyFlags
	NewPassphraseFile string `required:"" help:"File whose first line is the new passphrase; an empty one takes it off." placeholder:"FILE"`
}

// Run writes the key anew under another passphrase.
func (c keysLockCmd) Run(s streams) error {
	keeper, key, release, err := c.mine(s)
	if err != nil {
		return err
	}
	defer release()
	phrase, err := keyFlags{PassphraseFile: c.NewPassphraseFile}.passphrase(s)
	if err != nil {
		return err
	}
	return keeper.KeepKey(key, phrase)
}

// mine locks the folder and opens the key that is there.
func (c keyFlags) mine(s streams) (publication.Keeper, signature.Key, func(), error) {
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return keeper, signature.Key{}, nil, err
	}
	if _, err := keeper.Public(); err != nil {
		return keeper, signature.Key{}, nil, err
	}
	release, err := keeper.Lock()
	if err != nil {
		return keeper, signature.Key{}, nil, err
	}
	key, _, err := c.open(s, keeper)
	if err != nil {
		release()
	}
	return keeper, key, release, err
}

type keysTrustCmd struct {
	File string `arg:"" help:"A public key, or a signed statement about one."`
	Name string `help:"The name under which you know the key." placeholder:"NAME"`
	Keys string `help:"Folder of the keys you know." placeholder:"DIR"`
}

// Run adds a key or a statement to those that this reader knows.
func (c keysTrustCmd) Run(s streams) error {
	text, err := readCapped(c.File, 1<<16)
	if err != nil {
		return err
	}
	keeper, err := publication.At(c.Keys)
	if err != nil {
		return err
	}
	known, err := keeper.Known()
	if err != nil {
		return err
	}
	if statement, err := dossier.ReadStatement(text); err == nil {
		if err := known.Hear(text); err != nil {
			return err
		}
		fmt.Fprintf(s.out, "Heard: %s of key %s on %s: %s\n", statement.Kind, statement.Key.ID(), statement.Date, statement.Reason)
		return keeper.KeepKnown(known)
	}
	p, err := signature.ReadPublic(text)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if c.Name == "" {
		return usage{fmt.Errorf("--name is missing: under which name do you know this key?")}
	}
	if err := known.Trust(p, c.Name, today()); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "Known as %s from today. Compare its words with those its holder read out:\n  %s\n", c.Name, strings.Join(p.Words(), " "))
	return keeper.KeepKnown(known)
}

func today() string { return time.Now().Format(time.DateOnly) }

type keysRotateCmd struct {
	keyFlags
	Reason string `required:"" help:"Why."`
	Out    string `help:"File for the signed statement." default:"key-rotation.txt" placeholder:"FILE"`
}

// Run replaces the key; the ledger goes on under its name, signed by the new key.
func (c keysRotateCmd) Run(s streams) error {
	keeper, old, release, err := c.mine(s)
	if err != nil {
		return err
	}
	defer release()
	successor, err := signature.New(rand.Reader)
	if err != nil {
		return err
	}
	said := dossier.Statement{Kind: dossier.Rotation, Key: old.Public(), Successor: successor.Public(), Date: today(), Reason: c.Reason}
	if err := say(keeper, old, said, c.Out); err != nil {
		return err
	}
	if err := keeper.KeepKey(successor, ""); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "The new key has no passphrase yet. Publish %s beside your dossiers.\n", c.Out)
	return showKey(s, keeper, successor.Public())
}

type keysRevokeCmd struct {
	keyFlags
	Reason string `required:"" help:"Why."`
	Date   string `help:"The day from which on the key is not to be believed (default: today)." placeholder:"2026-08-20"`
	Out    string `help:"File for the signed statement." default:"key-revocation.txt" placeholder:"FILE"`
}

// Run signs the revocation and writes it into the ledger.
func (c keysRevokeCmd) Run(s streams) error {
	keeper, key, release, err := c.mine(s)
	if err != nil {
		return err
	}
	defer release()
	if c.Date == "" {
		c.Date = today()
	}
	said := dossier.Statement{Kind: dossier.Revocation, Key: key.Public(), Date: c.Date, Reason: c.Reason}
	if err := say(keeper, key, said, c.Out); err != nil {
		return err
	}
	_, err = fmt.Fprintf(s.out, "Publish %s wherever your dossiers are.\n", c.Out)
	return err
}

// say signs a statement, writes it into the ledger and to a file.
func say(keeper publication.Keeper, key signature.Key, said dossier.Statement, out string) error {
	note, err := said.Sign(key)
	if err != nil {
		return err
	}
	book, err := keeper.Ledger(key.Public())
	if err != nil {
		return err
	}
	book.Append(ledger.Record{Date: said.Date, Kind: ledger.KeyEvent, Subject: said.Key.String(), Text: string(said.Kind) + ": " + said.Reason})
	if err := replace(out, note); err != nil {
		return err
	}
	return keeper.KeepLedger(book)
}
