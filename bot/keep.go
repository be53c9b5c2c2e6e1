package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"time"

	"yardbell/bot/telegram"
	"yardbell/storage"
)

type backupCmd struct {
	File string `arg:"" help:"Where to write the copy; it must not exist yet."`
}

// Run copies the household file.
func (c *backupCmd) Run(a *app) (err error) {
	s, err := a.openKept()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	if err := s.store.Backup(a.ctx, c.File); err != nil {
		if errors.Is(err, storage.ErrExists) {
			return usageError{c.File + " exists already; name another file"}
		}
		return err
	}
	_, err = fmt.Fprintf(a.out, "Backed up to %s.\n", c.File)
	return err
}

type restoreCmd struct {
	File string `arg:"" help:"The backup."`
}

// Run brings a backup back.
func (c *restoreCmd) Run(a *app) error {
	path, err := a.dbPath()
	if err != nil {
		return err
	}
	if path == storage.Memory {
		return usageError{"a backup is restored into a file; name it with --db PATH"}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	kept, err := storage.Restore(a.ctx, c.File, path, time.Now())
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "Restored %s into %s.\n", c.File, path)
	if kept != "" {
		fmt.Fprintf(a.out, "What was there is kept as %s.\n", kept)
	}
	return nil
}

type exportCmd struct {
	Dir string `arg:"" help:"The folder to write into."`
}

// Run writes every record as CSV and as plain text.
func (c *exportCmd) Run(a *app) (err error) {
	s, err := a.openKept()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	tables, err := s.store.Export(a.ctx, c.Dir)
	if errors.Is(err, storage.ErrExists) {
		return usageError{c.Dir + " is not empty; name another folder"}
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "Exported %d tables into %s.\n", len(tables), c.Dir)
	return err
}

type importCmd struct {
	Dir string `arg:"" help:"The folder that yardbell export wrote."`
}

// Run makes a household file out of an export.
func (c *importCmd) Run(a *app) error {
	path, err := a.dbPath()
	if err != nil {
		return err
	}
	if path == storage.Memory {
		return usageError{"an export is brought into a file; name it with --db PATH"}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	rows, err := storage.Import(a.ctx, c.Dir, path)
	if errors.Is(err, storage.ErrExists) {
		return usageError{path + " holds a household already; name a new file with --db PATH"}
	}
	if err != nil {
		return fmt.Errorf("nothing was brought in: %w", err)
	}
	_, err = fmt.Fprintf(a.out, "Brought %d rows from %s into %s.\n", rows, c.Dir, path)
	return err
}

type doctorCmd struct{}

// Run looks the household file over, and with a token the chat too, and says what
// to do about what it found.
func (c *doctorCmd) Run(a *app) (err error) {
	s, err := a.openKept()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	h, err := s.store.Health(a.ctx, s.now())
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "file       %s, %d bytes\nintegrity  %s\nschema     %d\nzone       %s, now %s\n", s.store.Path(), h.Bytes, h.Integrity, h.Schema,
		s.zone, s.now().In(s.zone).Format("Mon 2006-01-02 15:04"))
	fmt.Fprintf(a.out, "people %d, day book %d, bells %d, rings %d, batches %d, recipes %d\n", h.Rows["person"], h.Rows["entry"], h.Rows["bell"], h.Rows["ring"], h.Rows["batch"], h.Rows["recipe"])
	fmt.Fprintf(a.out, "messages   %d waiting, %d set aside, %d in the last week: %.1f a day\n", h.Waiting, h.SetAside, h.LastWeek, float64(h.LastWeek)/7)
	ill := s.checkDisk()
	unkept, err := s.sayBackups()
	if err != nil {
		return err
	}
	ill = ill || unkept
	if os.Getenv("YARDBELL_TOKEN")+os.Getenv("YARDBELL_TOKEN_FILE") != "" {
		chatIll, err := s.checkChat()
		if err != nil {
			return err
		}
		ill = ill || chatIll
	}
	if h.Integrity != "ok" {
		return errors.New("the file is damaged; keep it, and bring back a backup with: yardbell restore FILE")
	}
	if ill {
		return errors.New("something wants looking after, see above")
	}
	return nil
}

// leastFree is the room that a household's file wants to have left.
const leastFree = 200 << 20

func (s *session) checkDisk() (ill bool) {
	if s.store.Path() == storage.Memory {
		return false
	}
	free, known := freeBytes(filepath.Dir(s.store.Path()))
	switch {
	case !known:
		return false
	case free < leastFree:
		fmt.Fprintf(s.app.out, "disk       only %d MB left\n           what to do: make room; a full disk stops the day book\n", free>>20)
		return true
	}
	fmt.Fprintf(s.app.out, "disk       %d MB left\n", free>>20)
	return false
}

func (s *session) checkChat() (ill bool, err error) {
	token, err := readToken()
	if err != nil {
		return false, err
	}
	service, err := telegram.New(s.serviceConfig(token))
	if err != nil {
		return false, err
	}
	for _, f := range service.Check(s.app.ctx) {
		fmt.Fprintf(s.app.out, "%-10s %s\n", f.What, f.Said)
		if !f.OK {
			ill = true
			fmt.Fprintf(s.app.out, "           what to do: %s\n", f.Advice)
		}
	}
	return ill, nil
}

type versionCmd struct{}

// version of the program; a release sets it at link time.
var version = "0.1.0"

// Run prints the version.
func (c *versionCmd) Run(a *app) error {
	goVersion := ""
	if info, ok := debug.ReadBuildInfo(); ok {
		goVersion = " " + info.GoVersion
	}
	_, err := fmt.Fprintf(a.out, "yardbell %s%s\n", version, goVersion)
	return err
}
