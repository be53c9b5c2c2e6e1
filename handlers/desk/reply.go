package desk

import (
	"fmt"
	"strings"
	"unicode"

	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Answer is a reply that did what was asked.
func Answer(head string, lines ...string) Reply {
	return Reply{Kind: storage.KindReply, Status: storage.OK, Head: head, Lines: lines}
}

// Quietly is an answer that a chat may give as a reaction.
func Quietly(head string) Reply {
	r := Answer(head)
	r.Quiet = true
	return r
}

// AskBack is a question that has to be answered first. Nothing was written.
func AskBack(question string, buttons ...storage.Button) Reply {
	return Reply{Kind: storage.KindReply, Status: storage.Asked, Head: question, Buttons: buttons}
}

// Refuse says why not and what would work. Nothing was written.
func Refuse(why string, lines ...string) Reply {
	return Reply{Kind: storage.KindReply, Status: storage.Refused, Head: why, Lines: lines}
}

// Button makes a button whose label is the line it types.
func Button(say string) storage.Button { return storage.Button{Label: say, Say: say} }

// Labelled makes a button.
func Labelled(label, say string) storage.Button { return storage.Button{Label: label, Say: say} }

// Quote puts typed text into a reply: one line, not long, in quotes.
func Quote(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 60 {
		s = string(r[:57]) + "..."
	}
	return "\"" + s + "\""
}

// Pointed shows a line with one of its words marked, so that an error can point
// at it: "lye 900 g [unicorn] fat".
func Pointed(text string, start, end int) string {
	from := max(start-40, 0)
	to := min(end+40, len(text))
	return strings.Join(strings.Fields(strings.ToValidUTF8(text[from:start]+"["+text[start:end]+"]"+text[end:to], "")), " ")
}

// UnknownWords joins the words nobody understood.
func UnknownWords(toks []phrase.Token) string {
	var out []string
	for _, t := range toks {
		out = append(out, t.Text)
	}
	return strings.Join(out, " ")
}

// List joins names with commas and an "and".
func List(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// Plural writes a number with its noun: 1 bell, 2 bells.
func Plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// Upper begins a sentence with a capital.
func Upper(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return string(unicode.ToUpper(r[0])) + string(r[1:])
}
