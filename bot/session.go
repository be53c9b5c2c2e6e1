package main

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"os"
	"time"

	"yardbell/bot/attach"
	"yardbell/bot/outbox"
	"yardbell/bot/telegram"
	"yardbell/handlers"
	"yardbell/reminders"
	"yardbell/storage"
)

// localChat is the chat of a household that is founded in a terminal.
const localChat = "terminal"

// session is an open household in this terminal.
type session struct {
	app    *app
	store  *storage.Store
	roster *handlers.Roster
	chat   string
	name   string // who speaks
	zone   *time.Location
	begun  time.Time // on the machine's clock
	at     time.Time // what --at says, zero without it
	id     string    // of this run, so that its lines are not taken for another's
	lines  int
	empty  bool // no household yet
}

// open opens the household file and finds out who speaks and what time it is.
func (a *app) open() (*session, error) {
	path, err := a.dbPath()
	if err != nil {
		return nil, err
	}
	store, err := storage.Open(a.ctx, path)
	if err != nil {
		return nil, err
	}
	s := &session{app: a, store: store, roster: handlers.NewRoster(a.log), chat: localChat, name: a.flags.As, begun: time.Now()}
	if err := s.learn(); err != nil {
		return nil, closing(store, err)
	}
	if a.flags.At != "" {
		if s.at, err = parseAt(a.flags.At, s.zone); err != nil {
			return nil, closing(store, err)
		}
	}
	b := make([]byte, 8)
	if _, err := rand.Read(b); err != nil {
		return nil, closing(store, err)
	}
	s.id = hex.EncodeToString(b)
	return s, nil
}

// openKept opens a household file that has to be there already.
func (a *app) openKept() (*session, error) {
	path, err := a.dbPath()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); err != nil && path != storage.Memory {
		return nil, usageError{"there is no household file " + path}
	}
	return a.open()
}

func closing(store *storage.Store, err error) error {
	_ = store.Close() // the first error is the one to tell
	return err
}

// learn reads the household's zone and its first keeper.
func (s *session) learn() error {
	return s.store.Do(s.app.ctx, func(tx *storage.Tx) error {
		ids, err := tx.Households()
		if err != nil {
			return err
		}
		if len(ids) == 0 {
			s.empty = true
			if s.name == "" {
				s.name = "Keeper"
			}
			s.zone, err = time.LoadLocation(machineZone())
			return err
		}
		h, err := tx.Household(ids[0])
		if err != nil {
			return err
		}
		s.empty, s.zone, s.chat = false, h.Zone, h.Chat
		if s.name != "" {
			return nil
		}
		people, err := tx.People(h.ID)
		for _, p := range people {
			if p.Keeper && !p.Gone {
				s.name = p.Name
				break
			}
		}
		return err
	})
}

// now is the time of this session: the machine's, or --at and on from there.
func (s *session) now() time.Time {
	if s.at.IsZero() {
		return time.Now().UTC()
	}
	return s.at.Add(time.Since(s.begun)).UTC()
}

// tick lets everything that is due ring, reports whether anything did, and
// returns when it has to be called next, zero when nothing waits.
func (s *session) tick(ctx context.Context, now time.Time) (next time.Time, rang bool, err error) {
	for due := true; due; {
		err := s.store.Do(ctx, func(tx *storage.Tx) (err error) {
			next, err = s.next(tx, now)
			if due = !next.IsZero() && !next.After(now); err != nil || !due {
				return err
			}
			rang = true
			_, err = reminders.Tick(tx, now, s.roster.Watch)
			return err
		})
		if err != nil {
			return next, rang, fmt.Errorf("ring what is due: %w", err)
		}
	}
	return next, rang, nil
}

// next is when the engine has to run next. With --at before what the file has
// seen, a thing is only told late: no clock was set back.
func (s *session) next(tx *storage.Tx, now time.Time) (time.Time, error) {
	if !s.at.IsZero() {
		if c, err := tx.Clock(); err != nil || now.Before(c.Seen) {
			return time.Time{}, err
		}
	}
	return reminders.Next(tx, now, s.roster.Watch)
}

// hear types a line and returns its number in the inbox.
func (s *session) hear(ctx context.Context, now time.Time, text string) (int64, error) {
	s.lines++
	heard, err := attach.To(ctx, s.roster, s.store, ".", handlers.Heard{
		Line: storage.Line{Transport: "terminal", Ext: fmt.Sprintf("%s:%d", s.id, s.lines), Name: s.name, At: now, Text: text},
		Chat: s.chat, Zone: s.zone.String(),
	})
	if err != nil {
		return 0, err
	}
	line, err := s.roster.Hear(ctx, s.store, heard)
	if err != nil {
		return 0, err
	}
	return line, s.learn()
}

// mine is what of the outbox is for this terminal: the answers of a line, and the
// rings unless they are for a group's chat.
func (s *session) mine(line int64) storage.Which {
	if telegram.Serves(s.chat) && line == 0 {
		line = nothing
	}
	return storage.Which{Line: line, Rings: !telegram.Serves(s.chat)}
}

// unsaid is what a crash left unsaid here.
func (s *session) unsaid() storage.Which {
	if telegram.Serves(s.chat) {
		return storage.Which{Line: nothing}
	}
	return storage.Which{}
}

// nothing is the number of no line.
const nothing = -1

// drain hands over what waits to be said.
func (s *session) drain(ctx context.Context, which storage.Which, now time.Time, say func(storage.Message) error) error {
	_, err := outbox.NewSender(s.store, outbox.Terminal(say), s.app.log).Pass(ctx, which, now)
	return err
}
