package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"golang.org/x/term"

	"yardbell/reminders"
)

// dbPath returns the household file: the one that was named, or the usual one.
func (a *app) dbPath() (string, error) {
	if a.flags.DB != "" {
		return a.flags.DB, nil
	}
	dir, err := dataDir()
	if err != nil {
		return "", usageError{"no data directory is known here; name the household file with --db PATH"}
	}
	return filepath.Join(dir, "yardbell", "household.db"), nil
}

// dataDir is where programs keep a user's data on this system.
func dataDir() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" && runtime.GOOS != "windows" && runtime.GOOS != "darwin" {
		return dir, nil
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return os.UserConfigDir()
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(home, ".local", "share"), nil
}

// machineZone returns the name of the machine's time zone, UTC when it has none.
func machineZone() string {
	for _, name := range []string{os.Getenv("TZ"), fileZone(), linkZone()} {
		name = strings.TrimPrefix(strings.TrimSpace(name), ":")
		if name == "" || name == "Local" || filepath.IsAbs(name) {
			continue
		}
		if _, err := time.LoadLocation(name); err == nil {
			return name
		}
	}
	return "UTC"
}

func fileZone() string {
	b, err := os.ReadFile("/etc/timezone")
	if err != nil {
		return ""
	}
	return string(b)
}

func linkZone() string {
	target, err := os.Readlink("/etc/localtime")
	if err != nil {
		return ""
	}
	_, name, _ := strings.Cut(target, "zoneinfo/")
	return name
}

// timeLayouts are the ways to write --at; those without a zone are household-local.
var timeLayouts = []struct {
	layout string
	zoned  bool
}{
	{time.RFC3339, true},
	{"2006-01-02T15:04Z07:00", true},
	{"2006-01-02 15:04:05", false},
	{"2006-01-02T15:04:05", false},
	{"2006-01-02 15:04", false},
	{"2006-01-02T15:04", false},
}

// parseAt reads --at.
func parseAt(s string, zone *time.Location) (time.Time, error) {
	for _, l := range timeLayouts {
		t, err := time.Parse(l.layout, s)
		if err != nil {
			continue
		}
		if l.zoned {
			return t.UTC(), nil
		}
		return reminders.Instant(t, zone), nil
	}
	return time.Time{}, usageError{fmt.Sprintf("--at %q is not a time; write it like 2027-03-01T09:30 or 2027-03-01T09:30Z", s)}
}

// terminal reports whether a stream is a terminal.
func terminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// colours reports whether output may be coloured: on a terminal, unless NO_COLOR
// is set to anything.
func colours(out io.Writer) bool {
	return terminal(out) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}
