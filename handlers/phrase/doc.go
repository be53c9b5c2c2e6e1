// Package phrase reads what people type: it cuts a line into tokens with their
// places, finds the spans that mean something (an exact quantity, a date, a
// time, a recurrence, a name from a word list) and chooses the spans that
// together explain most of the line. It decides nothing: a span may have been
// read in several ways, and what it was read as stays with it.
//
// Clock times are kept as wall times: a time.Time in UTC whose fields are what
// the household's clock shows. Only reminders.Instant turns one into an instant.
package phrase
