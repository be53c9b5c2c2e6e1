package storage

import "strings"

// Text writes a message as plain text, as a person would read it: the answer,
// what to act by, what was assumed, the cautions. Buttons are left out.
func (m Message) Text() string {
	var b strings.Builder
	b.WriteString(m.Head)
	for _, l := range m.Lines {
		b.WriteString("\n")
		b.WriteString(l)
	}
	if len(m.Assumed) > 0 {
		b.WriteString("\nAssumed: ")
		b.WriteString(strings.Join(m.Assumed, "; "))
		b.WriteString(".")
	}
	for _, c := range m.Cautions {
		b.WriteString("\n! ")
		b.WriteString(c)
	}
	return b.String()
}
