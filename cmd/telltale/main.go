// Command telltale says how much cleaner the air inside a respirator is, how sure
// that is, and what may be said of it.
//
// Results go to standard output, messages to standard error. The program ends
// with 0 when it did what was asked, 1 when it could not (the message says what,
// where, why and what to do), and 2 when it was asked wrongly.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"telltale/demo"
	"telltale/finding"
	"telltale/papers"
	"telltale/report"
)

// version is set by the release build.
var version = "0.1.0"

func main() {
	papers.Serve() // ends here when this was started to read one picture
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	if err != nil {
		fmt.Fprintln(os.Stderr, message(err))
	}
	os.Exit(exitCode(err))
}

// commands are the verbs of the program.
type commands struct {
	Demo       demoCmd       `cmd:"" help:"Make a report of a study of our own: a tool library checks donated masks."`
	Inspect    inspectCmd    `cmd:"" help:"Say what is in a trace: rate, gaps, repeats, saturation, drift."`
	Fit        fitCmd        `cmd:"" help:"Compute the fit factor of a trace, with its interval."`
	Report     reportCmd     `cmd:"" help:"Say what may be said of a study folder, and write report.html and findings.json."`
	Marks      marksCmd      `cmd:"" help:"Examine the words on facepiece, box and papers: do they agree?"`
	Expect     expectCmd     `cmd:"" help:"Say what a filter that just meets a class would show when sealed."`
	Simulate   simulateCmd   `cmd:"" help:"Make a practice study with its truth apart."`
	Publish    publishCmd    `cmd:"" help:"Show all that would leave this machine; then make and sign the dossier of a study."`
	Verify     verifyCmd     `cmd:"" help:"Open a dossier and answer: unchanged, by whom, since when, do the figures come out again, were all runs shown?"`
	Amend      amendCmd      `cmd:"" help:"Correct or withdraw a published statement; the earlier one stays."`
	Statements statementsCmd `cmd:"" help:"All published statements and what became of them."`
	Site       siteCmd       `cmd:"" help:"Make a static site that compares many dossiers, each figure computed anew."`
	Keys       keysCmd       `cmd:"" help:"Your key and the keys you know."`
	Version    versionCmd    `cmd:"" help:"Print the version."`
}

// streams are where a command reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// run is the whole program as a function.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) (err error) {
	var all commands
	type stop struct{ code int }
	defer func() {
		switch p := recover().(type) {
		case nil:
		case stop:
			if p.code != 0 {
				err = usage{errors.New("wrong usage")}
			}
		default:
			panic(p) // a programmer's error must not end as if all were well
		}
	}()
	parser, err := kong.New(&all, kong.Name("telltale"), kong.UsageOnError(), kong.Writers(out, errs),
		kong.Description("How much cleaner is the air inside, how sure is that, and what may be said of it."),
		kong.Exit(func(code int) { panic(stop{code}) }), kong.Vars{"demoSeed": strconv.FormatUint(demo.Seed, 10)}, kong.BindTo(ctx, (*context.Context)(nil)), kong.Bind(streams{in, out, errs}))
	if err != nil {
		return err
	}
	switch {
	case len(args) == 0:
		args = []string{"--help"}
	case args[0] == "help":
		args = append(slices.Clone(args[1:]), "--help")
	}
	parsed, err := parser.Parse(args)
	if err != nil {
		return usage{fmt.Errorf("%w. telltale --help shows the commands, telltale COMMAND --help its options", err)}
	}
	return parsed.Run()
}

// message words an error for the terminal.
func message(err error) string { return "telltale: " + printable(err.Error()) }

// printable keeps the lines of a text and cleans each, so that no label, note or
// file name can steer the terminal.
func printable(text string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		lines[i] = report.Clean(line)
	}
	return strings.Join(lines, "\n")
}

// usage marks a wish that cannot be meant; it ends the program with 2.
type usage struct{ error }

func (u usage) Unwrap() error { return u.error }

func exitCode(err error) int {
	var u usage
	switch {
	case err == nil:
		return 0
	case errors.As(err, &u):
		return 2
	}
	return 1
}

type versionCmd struct{}

// Run prints version and commit.
func (versionCmd) Run(s streams) error {
	p := program()
	_, err := fmt.Fprintf(s.out, "telltale %s %s\n", p.Version, p.Commit)
	return err
}

// program says who computes, for results.
func program() finding.Program {
	p := finding.Program{Name: "telltale", Version: version, Commit: "unknown"}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				p.Commit = s.Value
			}
		}
	}
	return p
}
