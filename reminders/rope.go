package reminders

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/storage"
)

// A room that is roped off (lye is open) takes no child in: work there is rung to no child
// until the all clear, and whatever else rings a child says to stay out.

// roomWorkTable is work that is plainly done in a room which its words do not name. Its
// reason stands beside each row: columns words, room, why, source, mark.
//
//go:embed roomwork.csv
var roomWorkTable string

// roomWork holds, of each room, the words of work that is done there.
var roomWork = readRoomWork(roomWorkTable)

// readRoomWork reads the table, which the program carries along: a row that cannot be read
// is a fault of the build.
func readRoomWork(table string) map[string][][]string {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil {
		panic(err)
	}
	out := map[string][][]string{}
	for _, row := range rows[1:] {
		for phrase := range strings.SplitSeq(row[0], "|") {
			out[row[1]] = append(out[row[1]], strings.Fields(phrase))
		}
	}
	return out
}

// WorkIn reports work in a room, by the words of its title: the room is named, or the work
// is plainly done there.
func WorkIn(title, room string) bool {
	words := slices.DeleteFunc(titleWords(title), func(w string) bool { return w == "the" || w == "a" || w == "an" || w == "our" })
	return contains(words, strings.Fields(strings.ToLower(room))) ||
		slices.ContainsFunc(roomWork[room], func(phrase []string) bool { return contains(words, phrase) })
}

// contains reports words that follow each other in others, in the plural too.
func contains(words, phrase []string) bool {
	for i := 0; len(phrase) > 0 && i+len(phrase) <= len(words); i++ {
		if slices.EqualFunc(words[i:i+len(phrase)], phrase, func(w, p string) bool { return anyOf([]string{w}, map[string]bool{p: true}) }) {
			return true
		}
	}
	return false
}

// shut returns the room that is roped off in which the work of a bell is done, empty for
// none. Nobody knows when the all clear comes: it is looked at again in the next morning
// round, and at the all clear itself.
func (h House) shut(b storage.Bell, at time.Time) string {
	if len(h.Roped) == 0 || !at.Before(h.ropedUntil()) {
		return ""
	}
	return shutBy(h.Roped, b)
}

// RopedRoom is the room that is roped off in which the work of a bell is done, whoever it is
// for; empty for none.
func (h House) RopedRoom(b storage.Bell) string { return shutBy(h.Roped, b) }

func shutBy(ropes []storage.Rope, b storage.Bell) string {
	for _, r := range ropes {
		if WorkIn(b.Title, r.Room) {
			return r.Room
		}
	}
	return ""
}

// ropedUntil is when it is looked at anew what a roped-off room holds back.
func (h House) ropedUntil() time.Time { return h.NextMorning(h.asOf) }

// keptOut are the children of some people, as absences, for a bell whose work is done in
// a room that is roped off.
func (h House) keptOut(b storage.Bell, people []storage.Person, at time.Time) (out []storage.Absence) {
	if h.shut(b, at) == "" {
		return nil
	}
	for _, p := range people {
		if p.Child(at) {
			out = append(out, storage.Absence{Person: p.ID, Kind: KeptOut, Since: h.asOf, Until: h.ropedUntil()})
		}
	}
	return out
}

// KeptOut is the kind of absence that a child has from work in a room that is roped off. It
// is not kept: it follows from the rope.
const KeptOut = "kept out"

// Waits says of a bell that it rings nobody while a room is roped off, for the lists of
// what is to come; empty where none of those whom it is for is kept out.
func (h House) Waits(b storage.Bell, to []storage.Person, at time.Time) string {
	if len(h.keptOut(b, to, at)) == 0 {
		return ""
	}
	return "not while the " + h.shut(b, at) + " is roped off"
}

// StayOut tells a child of the rooms that are roped off, empty for none.
func StayOut(roped []storage.Rope) string {
	var rooms []string
	for _, r := range roped {
		if room := "the " + r.Room; !slices.Contains(rooms, room) {
			rooms = append(rooms, room)
		}
	}
	switch len(rooms) {
	case 0:
		return ""
	case 1:
		return rooms[0] + " is roped off: stay out"
	}
	return strings.Join(rooms[:len(rooms)-1], ", ") + " and " + rooms[len(rooms)-1] + " are roped off: stay out"
}

// waited says that a ring which is said now was held back by a room that was roped off.
func (t *tick) waited(b storage.Bell, g storage.Ring) (string, error) {
	if g.Held.IsZero() {
		return "", nil
	}
	cleared, err := t.tx.ClearedSince(t.ID, g.Held)
	if err != nil {
		return "", err
	}
	for _, r := range cleared {
		if WorkIn(b.Title, r.Room) {
			return fmt.Sprintf("waited: the %s was roped off until %s", r.Room, t.sayTime(r.Cleared)), nil
		}
	}
	return "", nil
}
