package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/chzyer/readline"

	"yardbell/storage"
)

type chatCmd struct{}

// Run is the household's chat in this terminal: lines are answered, bells ring.
func (c *chatCmd) Run(a *app) (err error) {
	s, err := a.open()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	ch := &chat{session: s, out: a.out}
	if terminal(a.in) && terminal(a.out) && !a.flags.JSON {
		return ch.live()
	}
	return ch.piped()
}

// chat writes answers and rings of one session, one at a time.
type chat struct {
	*session
	out io.Writer
	mu  sync.Mutex
}

// piped answers lines from a pipe; rings are printed as they come.
func (c *chat) piped() error {
	clock := startClock(c.app.ctx, c.session, c.show)
	defer clock.stop()
	if _, err := c.print(c.unsaid, c.now()); err != nil { // what a crash left unsaid
		return err
	}
	return eachMessage(c.app.in, false, func(text string) error {
		if err := c.app.ctx.Err(); err != nil {
			return nil
		}
		_, err := c.line(clock, text)
		return err
	})
}

// line answers one typed line and reports whether anything was said.
func (c *chat) line(clock *clock, text string) (bool, error) {
	if strings.TrimSpace(text) == "" {
		return true, nil
	}
	c.mu.Lock()
	now := c.now()
	number, err := c.hear(c.app.ctx, now, text)
	c.mu.Unlock()
	if err != nil {
		return false, err
	}
	said, err := c.print(func() storage.Which { return c.mine(number) }, now)
	clock.wake()
	return said > 0, err
}

// show prints the rings that wait.
func (c *chat) show(now time.Time) error {
	_, err := c.print(func() storage.Which { return c.mine(0) }, now)
	return err
}

// print says what of the outbox is picked; what is this terminal's may change with
// a line, so it is asked for inside the lock.
func (c *chat) print(pick func() storage.Which, now time.Time) (said int, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	f := c.app.format(false)
	f.Zone = func() *time.Location { return c.zone }
	err = c.drain(c.app.ctx, pick(), now, func(m storage.Message) error {
		said++
		return f.Print(c.out, m)
	})
	return said, err
}

// live is a terminal with line editing and history.
func (c *chat) live() error {
	rl, err := readline.NewEx(&readline.Config{
		Prompt: c.name + "> ", HistoryFile: c.history(), HistoryLimit: 500, InterruptPrompt: "", EOFPrompt: "",
	})
	if err != nil {
		return fmt.Errorf("terminal: %w", err)
	}
	defer rl.Close()
	c.out = rl.Stdout()
	c.greet()
	clock := startClock(c.app.ctx, c.session, c.show)
	defer clock.stop()
	if _, err := c.print(c.unsaid, c.now()); err != nil {
		return err
	}
	for c.app.ctx.Err() == nil {
		text, err := rl.Readline()
		if errors.Is(err, readline.ErrInterrupt) && text != "" {
			continue
		}
		if err != nil { // Ctrl-D, or Ctrl-C on an empty line
			return nil
		}
		if text, err = c.whole(rl, text); err != nil {
			return nil
		}
		said, err := c.line(clock, text)
		if err != nil {
			return err
		}
		if !said {
			fmt.Fprintln(c.out, "(not for me; help shows what is)")
		}
		rl.SetPrompt(c.name + "> ")
	}
	return nil
}

// whole reads on where a line opens something that takes the lines below, such
// as a new recipe: until two empty lines, or a full stop by itself.
func (c *chat) whole(rl *readline.Instance, text string) (string, error) {
	opens, err := c.roster.Opens(c.app.ctx, c.store, c.chat, c.name, text, c.now())
	if err != nil || !opens {
		return text, nil //nolint:nilerr // the line itself will tell what is wrong
	}
	fmt.Fprintln(c.out, "Go on, a line each; a full stop by itself, or two empty lines, end it.")
	rl.SetPrompt("... ")
	empty := 0
	for {
		next, err := rl.Readline()
		if err != nil {
			return "", err
		}
		empty++
		if strings.TrimSpace(next) != "" {
			empty = 0
		}
		if empty == 2 || strings.TrimSpace(next) == "." {
			return text, nil
		}
		text += "\n" + next
	}
}

// history is kept beside the household file, for a file that is kept at all.
func (c *chat) history() string {
	if c.store.Path() == storage.Memory {
		return ""
	}
	return filepath.Join(filepath.Dir(c.store.Path()), "history")
}

// greet tells a newcomer how a household begins: three questions, defaults shown.
func (c *chat) greet() {
	if !c.empty {
		return
	}
	fmt.Fprintf(c.out, `A new household. You are %s, its first keeper (--as NAME to be somebody else).
Three questions, each answered with a line; paste them together if you like:
  where?   house at 57.2 -3.7     house zone %s
  who?     house add Tom keeper   house add Ivo child 13
  when?    house rounds 07:00 16:00
The rest is set: units metric, scale 1 g, dates day-first, no quiet hours. house shows it.
Then try: lye 900 g tallow 300 g coconut     ring me feed the hens daily at 7     help
`, c.name, c.zone)
}
