package reminders

import (
	"time"

	"yardbell/calc/rota"
	"yardbell/storage"
)

// Remembered is how far back it is looked for who has done least: far enough that
// a holiday does not count as idleness, and not so far that last year does.
const Remembered = 12 * 7 * 24 * time.Hour

// turn returns whom a ring of a bell due at an instant is for, of those who are
// there at another, and moves the bell's turn on to that person. Where somebody has
// taken that one occurrence, it is theirs, and the order goes on as if they had not.
func (h *House) turn(b *storage.Bell, due, at time.Time) string {
	whom := b.Whom
	if IsLeast(whom) {
		h.book()
	}
	if p, ok := h.Called(*b, due, at); ok {
		b.Turn, whom = p.ID, People(p.ID)
	}
	if taker, swapped := b.Swaps.Of(due); swapped {
		whom = People(taker)
	}
	if IsLeast(b.Whom) {
		h.Works = append(h.Works, h.expected(*b, whom, due))
	}
	return whom
}

// Called returns who is called for a ring of a bell that goes to one person at a
// time, by its order or by who has done least. It is false for other bells.
func (h House) Called(b storage.Bell, due, at time.Time) (storage.Person, bool) {
	switch {
	case IsTurn(b.Whom):
		return h.NextTurn(b, due, at)
	case IsLeast(b.Whom):
		return h.leastDone(b, at)
	}
	return storage.Person{}, false
}

// leastDone returns who of a bell's people has done least for their share, of
// those who are there, and of all when nobody is.
func (h House) leastDone(b storage.Bell, at time.Time) (storage.Person, bool) {
	roll := Roll(b.Whom, h.People)
	if here, _ := h.free(b, roll, at); len(here) > 0 {
		roll = here
	}
	if asked := without(roll, func(p storage.Person) bool { return p.Share == 0 }); len(asked) > 0 {
		roll = asked
	}
	who := h.Ledger().Next(Shares(roll))
	for _, p := range roll {
		if p.ID == who {
			return p, true
		}
	}
	return storage.Person{}, false
}

// Ledger is the account of all that the household remembers of who has done what.
func (h House) Ledger() *rota.Ledger {
	h.book()
	return h.ledger
}

// book brings the account up to date with the works.
func (h *House) book() {
	if h.ledger == nil {
		h.ledger, h.booked = &rota.Ledger{}, 0
	}
	for ; h.booked < len(h.Works); h.booked++ {
		w := h.Works[h.booked]
		turn := rota.Turn{Effort: w.Effort, Doers: w.Doers}
		for _, s := range w.Free {
			turn.Free = append(turn.Free, rota.Share(s))
		}
		h.ledger.Book(turn)
	}
}

// Shares is of how much of a full share each of some people is asked.
func Shares(people []storage.Person) []rota.Share {
	var out []rota.Share
	for _, p := range people {
		out = append(out, rota.Share{Person: p.ID, Percent: p.Share})
	}
	return out
}

// expected is a ring of whoever has done least, as if whoever is called had done it
// already: two chores that fall due together do not both go to the same person.
func (h House) expected(b storage.Bell, whom string, due time.Time) storage.Work {
	w := storage.Work{Due: due, At: due, Effort: h.effortOf(b), Open: true}
	for _, p := range Expand(whom, h.People, due) {
		w.Doers = append(w.Doers, p.ID)
	}
	for _, s := range Shares(Roll(b.Whom, h.People)) {
		w.Free = append(w.Free, storage.Share(s))
	}
	return w
}

// effortOf is what a chore's bell counts for, as far as the household remembers it;
// a new one counts as a quarter of an hour until it was done once.
func (h House) effortOf(b storage.Bell) int {
	for _, w := range h.Works {
		if w.Subject() == b.Subject && w.Effort > 0 {
			return w.Effort
		}
	}
	return 15
}
