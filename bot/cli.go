package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"yardbell/bot/console"
	"yardbell/bot/replay"
	"yardbell/storage"
)

// Exit codes, see the contract.
const (
	exitAnswered      = 0
	exitFailed        = 1
	exitBadUsage      = 2
	exitNotUnderstood = 3
)

// common are the flags of every command.
type common struct {
	DB    string `name:"db" env:"YARDBELL_DB" placeholder:"PATH" help:"The household file. Default: in the user's data directory; \":memory:\" is allowed."`
	At    string `placeholder:"TIME" help:"The time at which it happens, household-local unless a zone is given."`
	As    string `placeholder:"NAME" help:"Who speaks. Default: the first keeper."`
	JSON  bool   `name:"json" help:"One JSON object a line."`
	Files string `placeholder:"DIR" help:"Write files that are sent along into this folder."`
}

type cli struct {
	common
	Demo     demoCmd     `cmd:"" help:"An invented household from a February morning to its first ripe bar, in brief, then a prompt if on a terminal."`
	Chat     chatCmd     `cmd:"" default:"1" help:"The household's chat in this terminal (the default)."`
	Serve    serveCmd    `cmd:"" help:"The household's chat in Telegram."`
	Key      keyCmd      `cmd:"" help:"Print another house key, to join a group with."`
	Say      sayCmd      `cmd:"" help:"One typed line, or lines on standard input; the reply; exit."`
	Replay   replayCmd   `cmd:"" help:"Play a written conversation on a simulated clock."`
	Rehearse rehearseCmd `cmd:"" help:"What will ring, from the household's real records; changes nothing."`
	Backup   backupCmd   `cmd:"" help:"Copy the household file, also while it is in use."`
	Restore  restoreCmd  `cmd:"" help:"Bring a backup back; the file that is there is kept beside it."`
	Export   exportCmd   `cmd:"" help:"Write every record into a folder, as CSV and as plain text."`
	Import   importCmd   `cmd:"" help:"Bring an export back, into a file that holds no household yet."`
	Doctor   doctorCmd   `cmd:"" help:"Look the household file over."`
	Version  versionCmd  `cmd:"" help:"The version."`
}

// app is what a command runs with.
type app struct {
	ctx      context.Context //nolint:containedctx // lives as long as one command
	flags    common
	in       io.Reader
	out      io.Writer
	err      io.Writer
	log      *slog.Logger
	exitCode int
}

// usageError is an error in how the program was called.
type usageError struct{ msg string }

func (e usageError) Error() string { return e.msg }

// run is the whole program: it never exits the process and touches no globals.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) (code int) {
	var c cli
	exited := -1
	parser, err := kong.New(&c, kong.Name("yardbell"), kong.Description("The assistant in a working household's group chat."),
		kong.Writers(out, errOut), kong.Exit(func(n int) { exited = n; panic(helpShown{}) }), kong.ShortUsageOnError())
	if err != nil {
		fmt.Fprintln(errOut, "yardbell:", err)
		return exitFailed
	}
	defer func() {
		if p := recover(); p != nil {
			if _, ok := p.(helpShown); !ok {
				panic(p)
			}
			code = exited
		}
	}()
	parsed, err := parser.Parse(negatives(args))
	if err != nil {
		fmt.Fprintf(errOut, "yardbell: %v\nTry: yardbell --help\n", err)
		return exitBadUsage
	}
	log, err := logger(errOut)
	if err != nil {
		fmt.Fprintln(errOut, "yardbell:", err)
		return exitBadUsage
	}
	a := &app{ctx: ctx, flags: c.common, in: in, out: out, err: errOut, log: log}
	return a.finish(parsed.Run(a))
}

// negatives keeps "house at 57.2 -3.7" from being read as flags: no flag begins
// with a figure.
func negatives(args []string) []string {
	out := slices.Clone(args)
	for i, a := range out {
		if len(a) > 1 && a[0] == '-' && (a[1] >= '0' && a[1] <= '9' || a[1] == '.') {
			out[i] = "\u2212" + a[1:] // the minus sign, which reads the same
		}
	}
	return out
}

// helpShown unwinds the parser after it has printed its help.
type helpShown struct{}

// finish prints an error once and turns it into the exit code.
func (a *app) finish(err error) int {
	var usage usageError
	var bad *replay.BadLine
	var open *storage.OpenError
	switch {
	case err == nil:
		return a.exitCode
	case errors.As(err, &usage), errors.As(err, &bad):
		fmt.Fprintln(a.err, "yardbell:", err)
		return exitBadUsage
	case errors.As(err, &open):
		fmt.Fprintln(a.err, "yardbell:", open)
		a.log.Debug("open failed", "err", open.Err)
	default:
		fmt.Fprintln(a.err, "yardbell:", err)
	}
	return exitFailed
}

func logger(w io.Writer) (*slog.Logger, error) {
	level := slog.LevelWarn
	if s := os.Getenv("YARDBELL_LOG"); s != "" {
		switch strings.ToLower(s) {
		case "debug":
			level = slog.LevelDebug
		case "info":
			level = slog.LevelInfo
		case "warn":
		default:
			return nil, fmt.Errorf("YARDBELL_LOG is debug, info or warn, not %q", s)
		}
	}
	return slog.New(slog.NewTextHandler(w, &slog.HandlerOptions{Level: level})), nil
}

// format returns how this command writes messages.
func (a *app) format(dated bool) console.Format {
	return console.Format{JSON: a.flags.JSON, Dated: dated, Colour: !a.flags.JSON && colours(a.out), Files: a.flags.Files}
}
