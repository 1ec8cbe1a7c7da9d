package papers

import (
	"encoding/json"
	"io"
	"os"
	"runtime/debug"
	"strconv"
)

// childWord is the first argument that makes the program a reader of one picture.
const childWord = "read-one-picture-for-papers"

// answers says that this program becomes a reader when it is started as one; a
// program that does not call Serve must never be started again in vain.
var answers bool

// Serve is called first thing in main, before any flag is read. In a program that
// was started to read a picture it reads it and ends the program; else it only
// notes that this program can be started so.
func Serve() {
	answers = true
	if len(os.Args) != 3 || os.Args[1] != childWord {
		return
	}
	if bytes, err := strconv.Atoi(os.Args[2]); err == nil {
		debug.SetMemoryLimit(int64(bytes) / 2) // collect garbage well before the hard limit is met: what was mapped counts
	}
	if err := serve(os.Stdout); err != nil {
		io.WriteString(os.Stderr, err.Error()+"\n")
		os.Exit(1)
	}
	os.Exit(0)
}

// seen is what the child writes for its parent.
type seen struct {
	Codes   []Code `json:"codes"`
	Preview []byte `json:"preview"`
}

func serve(w io.Writer) error {
	file, err := os.Open(paperFile)
	if err != nil {
		return err
	}
	defer file.Close()
	s, err := look(file)
	if err != nil {
		return err
	}
	return json.NewEncoder(w).Encode(s)
}
