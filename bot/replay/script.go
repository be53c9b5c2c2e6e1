// Package replay plays a written conversation on a simulated clock: the lines
// are typed at their times, and every bell rings at its own.
package replay

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"yardbell/handlers/phrase"
)

// Script is a written conversation.
type Script []Step

// Step is one line of it: a typed message, a stretch of time, or a crash.
type Step struct {
	Line  int // in the file
	Wall  time.Time
	Name  string
	Text  string
	Until bool
	Crash bool
}

// BadLine is a line that cannot be played.
type BadLine struct {
	Line int
	Why  string
}

func (e *BadLine) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Why) }

var (
	message = phrase.NewPattern(`^(\d{4}-\d\d-\d\d) (\d\d:\d\d(?::\d\d)?) ([^:]{1,60}): ?(.*)$`)
	until   = phrase.NewPattern(`^until (\d{4}-\d\d-\d\d) (\d\d:\d\d(?::\d\d)?)$`)
)

// maxScript bounds a conversation, in bytes of one line.
const maxScript = 1 << 20

// Parse reads a conversation: "DATE TIME NAME: text" a message, lines that begin
// with two spaces or a tab going on with the message above, "until DATE TIME",
// "crash", and # comments.
func Parse(r io.Reader) (Script, error) {
	var s Script
	var last time.Time
	lineNo := 0
	sc := bufio.NewScanner(r)
	sc.Buffer(make([]byte, 64*1024), maxScript)
	for n := 1; sc.Scan(); n++ {
		raw := strings.TrimPrefix(sc.Text(), "\ufeff") // some editors begin a file so
		text := strings.TrimRight(raw, " \t\r")
		lineNo = n
		if goesOn(raw) && len(s) > 0 && s[len(s)-1].Name != "" {
			s[len(s)-1].Text += "\n" + strings.TrimSpace(text)
			continue
		}
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		step, err := parseStep(text)
		if err != "" {
			return nil, &BadLine{n, err}
		}
		step.Line = n
		if !step.Crash {
			if step.Wall.Before(last) {
				return nil, &BadLine{n, fmt.Sprintf("%s is before the line above it, %s", step.Wall.Format(stamp), last.Format(stamp))}
			}
			last = step.Wall
		}
		s = append(s, step)
	}
	if errors.Is(sc.Err(), bufio.ErrTooLong) {
		return nil, &BadLine{lineNo + 1, fmt.Sprintf("longer than %d bytes", maxScript)}
	}
	if err := sc.Err(); err != nil {
		return nil, fmt.Errorf("conversation: %w", err)
	}
	return s, nil
}

const stamp = "2006-01-02 15:04"

// goesOn tells a line that belongs to the message above it; an empty line inside
// such a message is written as two spaces.
func goesOn(raw string) bool {
	return strings.HasPrefix(raw, "  ") || strings.HasPrefix(raw, "\t")
}

func parseStep(text string) (Step, string) {
	if text == "crash" {
		return Step{Crash: true}, ""
	}
	if m := until.FindStringSubmatch(text); m != nil {
		at, err := wall(m[1], m[2])
		if err != nil {
			return Step{}, "that date or time does not exist"
		}
		return Step{Wall: at, Until: true}, ""
	}
	m := message.FindStringSubmatch(text)
	if m == nil {
		return Step{}, "not a message (DATE TIME NAME: text), until DATE TIME, or crash"
	}
	at, err := wall(m[1], m[2])
	if err != nil {
		return Step{}, "that date or time does not exist"
	}
	return Step{Wall: at, Name: strings.TrimSpace(m[3]), Text: m[4]}, ""
}

func wall(date, clock string) (time.Time, error) {
	if len(clock) == 5 {
		clock += ":00"
	}
	return time.Parse("2006-01-02 15:04:05", date+" "+clock)
}
