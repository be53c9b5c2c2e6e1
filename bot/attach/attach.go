// Package attach reads a file that a line typed in a terminal brings along: its last
// word is then the file's name after an @, as in "frost @station.csv".
package attach

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"yardbell/handlers"
	"yardbell/storage"
)

// Most is the largest file that is read, in bytes.
const Most = 20 << 20

// Cut parts a line from the name of the file that it brings along.
func Cut(text string) (line, name string, ok bool) {
	text = strings.TrimSpace(text)
	at := strings.LastIndex(text, " @")
	if at < 0 || strings.ContainsAny(text[at:], "\n\r") || at+2 == len(text) {
		return text, "", false
	}
	return strings.TrimSpace(text[:at]), text[at+2:], true
}

// Read returns a file as text. Why says for people why it cannot be read; a name
// that is not from the root is looked for in the folder.
func Read(folder, name string) (text, why string) {
	if !filepath.IsAbs(name) {
		name = filepath.Join(folder, name)
	}
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return "", "there is none of that name"
	}
	if err != nil {
		return "", "it does not open"
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, Most+1))
	switch {
	case err != nil:
		return "", "it does not open as a file"
	case len(body) == 0:
		return "", "it is empty"
	case len(body) > Most:
		return "", fmt.Sprintf("it is larger than %d MB", Most>>20)
	case !utf8.Valid(body):
		return "", "it is no text"
	}
	return string(body), ""
}

// To puts the file that a line names to it, where the line asks for something that
// takes one; any other line stays as it was typed.
func To(ctx context.Context, r *handlers.Roster, s *storage.Store, folder string, in handlers.Heard) (handlers.Heard, error) {
	line, name, ok := Cut(in.Text)
	if !ok {
		return in, nil
	}
	with := in
	with.Text = line
	takes, err := r.TakesFile(ctx, s, with)
	if err != nil || !takes {
		return in, err
	}
	with.File, with.NoFile = Read(folder, name)
	return with, nil
}
