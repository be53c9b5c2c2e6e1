package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"yardbell/bot/console"
	"yardbell/bot/replay"
	"yardbell/reminders"
	"yardbell/storage"
)

type replayCmd struct {
	File string `arg:"" help:"The conversation, or - for standard input."`
}

// Run plays a conversation. Without --db it plays in memory: a conversation
// must not run over a household's real file by accident.
func (c *replayCmd) Run(a *app) error {
	in := a.in
	if c.File != "-" {
		f, err := os.Open(c.File)
		if err != nil {
			return usageError{fmt.Sprintf("the conversation cannot be read: %v", err)}
		}
		defer f.Close()
		in = f
	}
	script, err := replay.Parse(in)
	if err != nil {
		return err
	}
	return a.player(filepath.Dir(c.File)).Play(a.ctx, script)
}

// player plays conversations on the file of the command line, in memory where none was
// named, and prints what is said.
func (a *app) player(folder string) *replay.Player {
	path := a.flags.DB
	if path == "" {
		path = storage.Memory
	}
	f := a.format(true)
	p := &replay.Player{Path: path, Folder: folder, Chat: localChat, Zone: machineZone(), Log: a.log}
	f.Zone = p.Household
	p.Say = func(m storage.Message) error { return f.Print(a.out, m) }
	return p
}

type rehearseCmd struct {
	Days int `default:"7" help:"How many days ahead."`
}

// Run shows what will ring if every ring is answered. It works on what is
// written and writes nothing.
func (c *rehearseCmd) Run(a *app) (err error) {
	if c.Days < 1 || c.Days > 3660 {
		return usageError{"--days is a number from 1 to 3660"}
	}
	s, err := a.openKept()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	planned, err := s.rehearse(c.Days)
	if err != nil {
		return err
	}
	f := a.format(true)
	f.Zone = func() *time.Location { return s.zone }
	if len(planned) == 0 && !a.flags.JSON {
		_, err := fmt.Fprintf(a.out, "Nothing rings in the next %d days.\n", c.Days)
		return err
	}
	return printPlanned(a.out, f, s.zone, planned)
}

func (s *session) rehearse(days int) ([]reminders.Planned, error) {
	var planned []reminders.Planned
	err := s.store.Do(s.app.ctx, func(tx *storage.Tx) error {
		ids, err := tx.Households()
		if err != nil || len(ids) == 0 {
			return err
		}
		now := s.now()
		h, err := reminders.Load(tx, ids[0], now)
		if err != nil {
			return err
		}
		bells, err := tx.ComingBells(h.ID)
		if err != nil {
			return err
		}
		planned, err = h.Rehearse(bells, now, now.AddDate(0, 0, days))
		return err
	})
	return planned, err
}

func printPlanned(w io.Writer, f console.Format, zone *time.Location, planned []reminders.Planned) error {
	for _, p := range planned {
		for _, to := range p.To {
			m := storage.Message{At: p.At, Kind: storage.KindRing, To: to.Name, Head: p.Bell.Title}
			if p.At.After(p.Due) {
				m.Lines = append(m.Lines, "held back from "+p.Due.In(zone).Format("15:04"))
			}
			if err := f.Print(w, m); err != nil {
				return err
			}
		}
	}
	return nil
}
