package papers

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"os"
	"os/exec"
	"strconv"
	"strings"

	"telltale/fault"
)

// goReserve is address space that a Go program reserves and never writes to: 0.7 GB
// for its tables were seen, and more where it is linked with a C library, whose
// every thread reserves some. What it can write to has its own limit, the same as
// for every reader.
const goReserve = 4 << 30

// picture adds codes and preview, read by this program in a child process. What
// cannot be read is a remark: the words matter more.
func (r *Reading) picture(ctx context.Context, name string, data []byte, l Limits) {
	if !answers {
		r.Remark = "this program cannot be started again to look for codes"
		return
	}
	self, err := os.Executable()
	if err != nil {
		r.Remark = "codes were not looked for: " + err.Error()
		return
	}
	out, err := child(ctx, name, data, l, r.Kind, reader{program: self, args: []string{childWord, strconv.Itoa(l.MemoryBytes)}, reserve: goReserve})
	var s seen
	if err == nil {
		err = json.Unmarshal(out.buf.Bytes(), &s)
	}
	var f *fault.Fault
	var exit *exec.ExitError
	const without = "no preview, and codes were not looked for: "
	switch {
	case errors.As(err, &exit) && exit.ExitCode() != 1: // ended by a limit, not by itself
		r.Remark = fmt.Sprintf("%sthe picture needs more than %d MB of memory or %v", without, l.MemoryBytes>>20, l.Time)
	case errors.As(err, &f):
		r.Remark = without + strings.ReplaceAll(f.What, self, "the program")
	case err != nil:
		r.Remark = without + err.Error()
	default:
		r.Codes = s.Codes
		if c, kind, err := image.DecodeConfig(bytes.NewReader(s.Preview)); err == nil && kind == "jpeg" && max(c.Width, c.Height) <= previewSide {
			r.Preview = s.Preview
		}
	}
}
