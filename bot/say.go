package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"yardbell/storage"
)

type sayCmd struct {
	Words []string `arg:"" optional:"" help:"The line. Without it, lines are read from standard input."`
}

// Run answers a line, or each line of standard input.
func (c *sayCmd) Run(a *app) (err error) {
	s, err := a.open()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	if len(c.Words) > 0 {
		return s.sayLine(strings.Join(c.Words, " "))
	}
	return eachMessage(a.in, true, s.sayLine)
}

// sayLine rings what is due, types the line, and prints what comes of it.
func (s *session) sayLine(text string) error {
	a := s.app
	now := s.now().Truncate(time.Second)
	if _, _, err := s.tick(a.ctx, now); err != nil {
		return err
	}
	line, err := s.hear(a.ctx, now, text)
	if err != nil {
		return err
	}
	f := a.format(false)
	f.Zone = func() *time.Location { return s.zone }
	answered := false
	err = s.drain(a.ctx, s.mine(line), now, func(m storage.Message) error {
		if m.Kind == storage.KindReply {
			answered = true
			if m.Status != storage.OK {
				a.exitCode = exitNotUnderstood
			}
		}
		return f.Print(a.out, m)
	})
	if err != nil || answered || strings.TrimSpace(text) == "" {
		return err
	}
	a.exitCode = exitNotUnderstood
	if !a.flags.JSON {
		fmt.Fprintln(a.err, "(no answer: that does not read as something for Yardbell; try: yardbell say help)")
	}
	return nil
}
