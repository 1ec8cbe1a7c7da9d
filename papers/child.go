package papers

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"telltale/fault"
)

// paperFile is the name that the child sees; the file's own name never reaches a
// command line.
const paperFile = "paper"

// limited sets the limits and becomes the reader. The shell's limits are those of
// setrlimit: address space, memory that can be written, processor time, written
// files, no core file.
const limited = `ulimit -v "$1" && ulimit -d "$2" && ulimit -t "$3" && ulimit -f 65536 && ulimit -c 0 && shift 3 && exec "$@"`

// reader is a program that reads a paper.
type reader struct {
	program string
	args    []string
	// reserve is address space in bytes that the program asks for and never writes
	// to, on top of the limit of memory.
	reserve int
}

// run reads the paper's text with a program in a child process.
func (r Reading) run(ctx context.Context, name string, data []byte, l Limits, program string, args ...string) (Reading, error) {
	out, err := child(ctx, name, data, l, r.Kind, reader{program: program, args: args})
	r.Text, r.Cut = strings.ToValidUTF8(out.buf.String(), "\ufffd"), out.cut
	if err == nil && strings.TrimSpace(r.Text) == "" {
		err = &fault.Fault{Code: "E134", What: program + " found no text in it", File: name, Do: typeIt}
	}
	return r, err
}

// child gives what a program wrote about the paper. Output beyond the limit is no
// fault; it ends the child.
func child(ctx context.Context, name string, data []byte, l Limits, kind Kind, read reader) (*capped, error) {
	bad := func(code, format string, a ...any) (*capped, error) {
		return &capped{}, &fault.Fault{Code: code, What: fmt.Sprintf(format, a...), File: name, Do: typeIt}
	}
	path, err := exec.LookPath(read.program)
	if err != nil {
		return bad("E135", "no program %s is installed to read a %s", read.program, kind)
	}
	shell, err := exec.LookPath("sh")
	if err != nil {
		return bad("E135", "no shell sets the limits that reading a %s needs", kind)
	}
	dir, err := os.MkdirTemp("", "telltale-paper-")
	if err != nil {
		return &capped{}, fmt.Errorf("read %s: %w", name, err)
	}
	defer os.RemoveAll(dir)
	if err := os.WriteFile(filepath.Join(dir, paperFile), data, 0o600); err != nil {
		return &capped{}, fmt.Errorf("read %s: %w", name, err)
	}

	ctx, cancel := context.WithTimeout(ctx, l.Time)
	defer cancel()
	out := &capped{most: l.OutputBytes, full: cancel}
	said := &capped{most: 2 << 10}
	seconds := max(1, int(l.Time/time.Second))
	cmd := exec.CommandContext(ctx, shell, append([]string{"-c", limited, "sh", strconv.Itoa((l.MemoryBytes + read.reserve) >> 10), strconv.Itoa(l.MemoryBytes >> 10),
		strconv.Itoa(seconds), path}, read.args...)...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, out, said
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "TMPDIR=" + dir, "LC_ALL=C.UTF-8", "OMP_THREAD_LIMIT=1", "GOMAXPROCS=1", "TESSDATA_PREFIX=" + os.Getenv("TESSDATA_PREFIX")}
	if os.Getenv("TESSDATA_PREFIX") == "" {
		cmd.Env = cmd.Env[:len(cmd.Env)-1]
	}
	cmd.WaitDelay = time.Second
	err = cmd.Run()
	switch {
	case out.cut:
		return out, nil
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		_, err = bad("E133", "reading it took more than %v and was ended", l.Time)
	case ctx.Err() != nil:
		err = ctx.Err()
	case err != nil:
		err = &fault.Fault{Code: "E134", What: fmt.Sprintf("%s could not read it (%v): %s", read.program, err, oneLine(said.buf.String())), File: name, Do: typeIt, Err: err}
	}
	return out, err
}

// oneLine is the first line that a program said, for a fault.
func oneLine(text string) string {
	first, _, _ := strings.Cut(strings.TrimSpace(text), "\n")
	if first == "" {
		return "it said nothing"
	}
	return first
}

// capped keeps the first bytes of an output and drops the rest.
type capped struct {
	buf  bytes.Buffer // not embedded: its ReadFrom would pass by the limit
	most int
	cut  bool
	full func() // called once the output is too long; may be nil
}

// Write keeps what fits and never fails, so that the child can go on to its end or
// be ended.
func (c *capped) Write(p []byte) (int, error) {
	if room := c.most - c.buf.Len(); len(p) > room {
		if !c.cut && c.full != nil {
			defer c.full()
		}
		c.cut = true
		c.buf.Write(p[:max(0, room)])
		return len(p), nil
	}
	return c.buf.Write(p)
}
