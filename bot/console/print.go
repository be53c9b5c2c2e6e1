// Package console writes messages for a terminal or a script, and reads a
// terminal's lines. It knows nothing of any desk.
package console

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/picture"
	"yardbell/storage"
)

// Format is how messages are written.
type Format struct {
	JSON   bool
	Colour bool
	Dated  bool   // each message under a line with its time and for whom it is
	Brief  bool   // for showing: no buttons, long messages cut, answers set in below their line
	Files  string // folder for what is sent along, empty for none
	Zone   func() *time.Location
}

// jsonMessage is one object a line, see the contract.
type jsonMessage struct {
	At      string           `json:"at"`
	Kind    string           `json:"kind"`
	To      string           `json:"to,omitempty"`
	Text    string           `json:"text"`
	Buttons []storage.Button `json:"buttons,omitempty"`
	Files   []jsonFile       `json:"files,omitempty"`
	Status  string           `json:"status,omitempty"`
	Quiet   bool             `json:"quiet,omitempty"`
}

type jsonFile struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Size int    `json:"size"`
}

// Print writes one message.
func (f Format) Print(w io.Writer, m storage.Message) error {
	files, err := drawn(m.Files)
	if err != nil {
		return err
	}
	m.Files = files
	if err := f.save(m.Files); err != nil {
		return err
	}
	if f.JSON {
		return f.printJSON(w, m)
	}
	_, err = io.WriteString(w, f.text(m))
	return err
}

// drawn draws the pictures that were left until they are sent.
func drawn(files []storage.File) ([]storage.File, error) {
	files = slices.Clone(files)
	for i, file := range files {
		if file.Copy != "" { // it lies on this machine already
			files[i].Name = filepath.Base(file.Copy)
			continue
		}
		content, err := picture.Content(file.Content, file.Drawing)
		if err != nil {
			return nil, fmt.Errorf("draw %s: %w", file.Name, err)
		}
		files[i].Content = content
	}
	return files, nil
}

func (f Format) printJSON(w io.Writer, m storage.Message) error {
	out := jsonMessage{
		At: m.At.UTC().Format(time.RFC3339), Kind: m.Kind, To: m.To, Text: m.Text(), Buttons: m.Buttons, Status: m.Status, Quiet: m.Quiet,
	}
	for _, file := range m.Files {
		out.Files = append(out.Files, jsonFile{file.Name, file.Type, len(file.Content)})
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(out)
}

func (f Format) save(files []storage.File) error {
	if f.Files == "" || len(files) == 0 {
		return nil
	}
	if err := os.MkdirAll(f.Files, 0o755); err != nil {
		return fmt.Errorf("folder for files: %w", err)
	}
	for _, file := range files {
		if file.Copy != "" {
			continue
		}
		if err := os.WriteFile(filepath.Join(f.Files, filepath.Base(file.Name)), file.Content, 0o644); err != nil {
			return fmt.Errorf("write %s: %w", file.Name, err)
		}
	}
	return nil
}

// Colours of a terminal: bold answers, yellow cautions, cyan rings, dim buttons.
const (
	bold   = "1"
	dim    = "2"
	yellow = "33"
	cyan   = "36"
)

func (f Format) paint(code, s string) string {
	if !f.Colour || s == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}

// text writes a message for reading.
func (f Format) text(m storage.Message) string {
	var b strings.Builder
	indent := ""
	if f.Dated {
		b.WriteString(f.paint(dim, f.heading(m)) + "\n")
		indent = "  "
	}
	if f.Brief && m.Kind == storage.KindReply {
		indent = briefIndent
	}
	line := func(code, s string) {
		for l := range strings.SplitSeq(s, "\n") {
			b.WriteString(indent + f.paint(code, l) + "\n")
		}
	}
	line(headColour(m), f.call(m)+m.Head)
	if f.Brief {
		m, indent = briefly(m), briefIndent
	}
	for _, l := range m.Lines {
		line("0", l)
	}
	if len(m.Assumed) > 0 {
		line(dim, "Assumed: "+strings.Join(m.Assumed, "; ")+".")
	}
	for _, c := range m.Cautions {
		line(yellow, "! "+c)
	}
	if len(m.Buttons) > 0 {
		line(dim, buttons(m.Buttons))
	}
	for _, file := range m.Files {
		line(dim, fmt.Sprintf("(file %s)", file.Name))
	}
	return b.String()
}

// briefIndent sets what is said in below the line that it answers.
const briefIndent = "      "

// mostBrief is how many lines of a message are shown where it is only shown.
const mostBrief = 6

// briefly cuts what is only shown and not acted by, and says how much was cut.
func briefly(m storage.Message) storage.Message {
	cut := func(all []string, most int, what string) []string {
		if len(all) <= most+2 {
			return all
		}
		return append(slices.Clone(all[:most]), fmt.Sprintf("(%d %s more)", len(all)-most, what))
	}
	m.Lines, m.Cautions = cut(m.Lines, mostBrief, "lines"), cut(m.Cautions, 1, "cautions")
	m.Assumed, m.Buttons = m.Assumed[:min(1, len(m.Assumed))], nil
	return m
}

// Title paints the title of a part of what is shown.
func (f Format) Title(s string) string { return f.paint(bold, "== "+s) }

func headColour(m storage.Message) string {
	switch {
	case m.Kind == storage.KindReply:
		return bold
	case m.Kind == storage.KindNotice:
		return yellow
	}
	return cyan
}

// call names for whom a ring is where there is no heading.
func (f Format) call(m storage.Message) string {
	if f.Dated {
		return ""
	}
	switch m.Kind {
	case storage.KindRing:
		return m.At.In(f.Zone()).Format("15:04") + " * " + m.To + ": "
	case storage.KindNotice:
		return m.At.In(f.Zone()).Format("15:04") + " * all: "
	}
	return ""
}

func (f Format) heading(m storage.Message) string {
	at := m.At.In(f.Zone()).Format("Mon 2006-01-02 15:04")
	switch m.Kind {
	case storage.KindRing:
		return at + " ring for " + m.To
	case storage.KindNotice:
		return at + " to all"
	}
	if m.Status != storage.OK && m.Status != "" {
		return fmt.Sprintf("%s to %s (%s)", at, m.To, m.Status)
	}
	return at + " to " + m.To
}

// buttons writes what may be typed next: a button is a typed line.
func buttons(list []storage.Button) string {
	var out []string
	for _, b := range list {
		if len(b.Say) <= 40 {
			out = append(out, "["+b.Say+"]")
			continue
		}
		out = append(out, "["+b.Label+"]")
	}
	return strings.Join(out, " ")
}
