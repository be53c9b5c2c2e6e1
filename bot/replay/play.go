package replay

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"log/slog"
	"time"

	"yardbell/bot/attach"
	"yardbell/bot/outbox"
	"yardbell/handlers"
	"yardbell/reminders"
	"yardbell/storage"
)

// Player plays scripts against a household file.
type Player struct {
	Path   string // of the file, or storage.Memory
	Folder string // where files that lines bring along are looked for
	Chat   string // chat of a household that the script founds
	Zone   string // zone of such a household
	Log    *slog.Logger
	// Say is called with every message, in order of time. Begin is called with every
	// step before the clock runs to it, Typed with every line before it is answered,
	// where they are not nil.
	Say   func(storage.Message) error
	Begin func(Step) error
	Typed func(at time.Time, name, text string) error

	store  *storage.Store
	roster *handlers.Roster
	now    time.Time
	zone   *time.Location
}

// Household returns the zone that the conversation's times are in now.
func (p *Player) Household() *time.Location {
	if p.zone == nil {
		return time.UTC
	}
	return p.zone
}

// Play plays a script from the first line to the last. A script that was played
// in part before, on the same file, goes on where it stopped: a line is taken
// once.
func (p *Player) Play(ctx context.Context, s Script) (err error) {
	if err := p.up(ctx); err != nil {
		return err
	}
	defer func() {
		if closeErr := p.store.Close(); err == nil {
			err = closeErr
		}
	}()
	ids := lineIDs(s)
	begin, err := p.takenBefore(ctx, s, ids)
	if err != nil {
		return err
	}
	for i, step := range s[begin:] {
		if step.Crash {
			if err := p.crash(ctx); err != nil {
				return err
			}
			continue
		}
		if p.Begin != nil {
			if err := p.Begin(step); err != nil {
				return err
			}
		}
		if err := p.runTo(ctx, step.Wall); err != nil {
			return fmt.Errorf("line %d: %w", step.Line, err)
		}
		if step.Until {
			continue
		}
		if err := p.hear(ctx, step, ids[begin+i]); err != nil {
			return fmt.Errorf("line %d: %w", step.Line, err)
		}
	}
	return p.drain(ctx)
}

// lineIDs gives each step an id made of all that was said up to it.
func lineIDs(s Script) []string {
	sum := sha256.New()
	var out []string
	for _, step := range s {
		if !step.Crash {
			fmt.Fprintf(sum, "%s|%s|%s|", step.Wall, step.Name, step.Text)
		}
		out = append(out, hex.EncodeToString(sum.Sum(nil)[:12]))
	}
	return out
}

// takenBefore returns the step after the last line that the file has taken, so
// that the clock of a conversation that goes on does not run again over what was
// rung already.
func (p *Player) takenBefore(ctx context.Context, s Script, ids []string) (int, error) {
	begin := 0
	err := p.store.Do(ctx, func(tx *storage.Tx) error {
		for i := len(s) - 1; i >= 0; i-- {
			if s[i].Crash || s[i].Until {
				continue
			}
			at, taken, err := tx.Taken(p.Chat, transport, ids[i])
			if err != nil || taken {
				begin, p.now = i+1, at
				return err
			}
		}
		return nil
	})
	return begin, err
}

// transport is the name under which a conversation's lines are taken in.
const transport = "replay"

// up brings the process state up from the file.
func (p *Player) up(ctx context.Context) error {
	s, err := storage.Open(ctx, p.Path)
	if err != nil {
		return err
	}
	p.store, p.roster = s, handlers.NewRoster(p.Log)
	return p.learnZone(ctx)
}

// crash drops everything but what is in the file and comes back up. A database
// in memory is the file then, and stays.
func (p *Player) crash(ctx context.Context) error {
	if p.Path == storage.Memory {
		p.roster, p.zone = handlers.NewRoster(p.Log), nil
		return p.learnZone(ctx)
	}
	if err := p.store.Close(); err != nil {
		return err
	}
	p.store, p.roster, p.zone = nil, nil, nil
	return p.up(ctx)
}

func (p *Player) learnZone(ctx context.Context) error {
	return p.store.Do(ctx, func(tx *storage.Tx) error {
		ids, err := tx.Households()
		if err != nil {
			return err
		}
		if len(ids) == 0 {
			p.zone, err = time.LoadLocation(p.Zone)
			return err
		}
		h, err := tx.Household(ids[0])
		p.zone, p.Chat = h.Zone, h.Chat
		return err
	})
}

// runTo lets the clock run to a wall time of the household. A move to another
// zone cannot make it run backward.
func (p *Player) runTo(ctx context.Context, wall time.Time) error {
	to := reminders.Instant(wall, p.zone)
	if to.Before(p.now) {
		to = p.now
	}
	if p.now.IsZero() {
		p.now = to
	}
	err := reminders.Play(ctx, p.store, p.now, to, func(time.Time) error { return p.drain(ctx) }, p.roster.Watch)
	p.now = to
	return err
}

func (p *Player) hear(ctx context.Context, step Step, ext string) error {
	if p.Typed != nil {
		if err := p.Typed(p.now, step.Name, step.Text); err != nil {
			return err
		}
	}
	heard, err := attach.To(ctx, p.roster, p.store, p.Folder, handlers.Heard{
		Line: storage.Line{Transport: transport, Ext: ext, Name: step.Name, At: p.now, Text: step.Text}, Chat: p.Chat, Zone: p.Zone,
	})
	if err != nil {
		return err
	}
	if _, err := p.roster.Hear(ctx, p.store, heard); err != nil {
		return err
	}
	if err := p.learnZone(ctx); err != nil {
		return err
	}
	return p.drain(ctx)
}

// drain says what waits in the outbox.
func (p *Player) drain(ctx context.Context) error {
	_, err := outbox.NewSender(p.store, outbox.Terminal(p.Say), p.Log).Pass(ctx, storage.Which{}, p.now)
	return err
}
