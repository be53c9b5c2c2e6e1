package telegram

import (
	"html"
	"strings"
	"unicode/utf16"

	"github.com/go-telegram/bot/models"

	"yardbell/storage"
)

// Limits of the service (Bot API 10.1).
const (
	maxText     = 4096 // UTF-16 units after the markup is read
	maxCaption  = 1024
	maxCallback = 64 // bytes of a button's data
	maxLabel    = 60 // letters of a button that a phone shows
	maxButtons  = 90 // of one message; what is left out can be typed
)

// line is one line of a message, as text and as markup.
type line struct{ plain, marked string }

// lines writes a message as lines: the answer in bold, what was assumed in
// italics, each caution with a sign.
func lines(m storage.Message) []line {
	var out []line
	add := func(text, open, end string) {
		for l := range strings.SplitSeq(text, "\n") {
			out = append(out, line{l, open + html.EscapeString(l) + end})
		}
	}
	add(m.Head, "<b>", "</b>")
	for _, l := range m.Lines {
		add(l, "", "")
	}
	if len(m.Assumed) > 0 {
		add("Assumed: "+strings.Join(m.Assumed, "; ")+".", "<i>", "</i>")
	}
	for _, c := range m.Cautions {
		add("⚠ "+c, "", "")
	}
	return out
}

// units counts text as the service does.
func units(s string) int { return len(utf16.Encode([]rune(s))) }

// parts cuts a message into what the service takes at once, at line ends, and a
// line that is too long by itself between two letters. Marked says whether the
// parts carry markup.
func parts(m storage.Message, marked bool) []string {
	var out []string
	var part strings.Builder
	size := 0
	flush := func() {
		if strings.TrimSpace(part.String()) != "" {
			out = append(out, part.String())
		}
		part.Reset()
		size = 0
	}
	for _, l := range lines(m) {
		text := l.marked
		if !marked {
			text = l.plain
		}
		n := units(l.plain)
		if n > maxText { // no markup in what is cut inside a line
			flush()
			for _, piece := range pieces(l.plain, maxText) {
				if marked {
					piece = html.EscapeString(piece)
				}
				part.WriteString(piece)
				flush()
			}
			continue
		}
		if size+n+1 > maxText {
			flush()
		}
		if size > 0 {
			part.WriteString("\n")
			size++
		}
		part.WriteString(text)
		size += n
	}
	flush()
	if len(out) == 0 { // nothing that the service would call text
		out = []string{"…"}
	}
	return out
}

// pieces cuts a text into runs of at most so many units.
func pieces(s string, most int) []string {
	var out []string
	var b strings.Builder
	size := 0
	for _, r := range s {
		n := len(utf16.Encode([]rune{r}))
		if size+n > most {
			out = append(out, b.String())
			b.Reset()
			size = 0
		}
		b.WriteRune(r)
		size += n
	}
	return append(out, b.String())
}

// keyboard lays buttons out: short ones side by side, long ones in a row each.
// Data gives a button's data.
func keyboard(buttons []storage.Button, data func(storage.Button) (string, error)) (models.ReplyMarkup, error) {
	var rows [][]models.InlineKeyboardButton
	var row []models.InlineKeyboardButton
	width := 0
	for _, b := range buttons[:min(len(buttons), maxButtons)] {
		d, err := data(b)
		if err != nil {
			return nil, err
		}
		label := b.Label
		if r := []rune(label); len(r) > maxLabel {
			label = string(r[:maxLabel-1]) + "…"
		}
		if n := len([]rune(label)); width+n > 24 || len(row) == 4 {
			if len(row) > 0 {
				rows = append(rows, row)
			}
			row, width = nil, 0
		}
		row = append(row, models.InlineKeyboardButton{Text: label, CallbackData: d})
		width += len([]rune(label)) + 2
	}
	if len(row) > 0 {
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return nil, nil
	}
	return &models.InlineKeyboardMarkup{InlineKeyboard: rows}, nil
}
