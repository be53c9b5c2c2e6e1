package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// maxInput bounds one line from standard input, in bytes.
const maxInput = 1 << 20

// eachMessage reads messages, one a line. A line that begins with two spaces or
// a tab goes on with the one above, so that a recipe can be piped in. With wait
// the next line is always looked at first; without it only when it has come
// already, so that an answer never waits for the next question.
func eachMessage(in io.Reader, wait bool, do func(string) error) error {
	r := bufio.NewReaderSize(in, maxInput)
	for {
		text, err := line(r)
		if err == io.EOF && text == "" {
			return nil
		}
		for err == nil && goesOn(r, wait) {
			var more string
			more, err = line(r)
			text += "\n" + strings.TrimSpace(more)
		}
		if err != nil && err != io.EOF {
			return fmt.Errorf("standard input: %w", err)
		}
		if doErr := do(text); doErr != nil || err == io.EOF {
			return doErr
		}
	}
}

func line(r *bufio.Reader) (string, error) {
	b, err := r.ReadSlice('\n')
	if errors.Is(err, bufio.ErrBufferFull) {
		return "", fmt.Errorf("a line is longer than %d bytes", maxInput)
	}
	return strings.TrimRight(string(b), "\r\n"), err
}

func goesOn(r *bufio.Reader, wait bool) bool {
	if !wait && r.Buffered() < 2 {
		return false
	}
	next, err := r.Peek(2)
	return err == nil && (string(next) == "  " || next[0] == '\t')
}
