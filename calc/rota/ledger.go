// Package rota shares work out among people: whose turn it is by a fixed order,
// by an account of effort, or week by week, and how even the shares have been. It
// knows people by number and work by effort; what the effort is counted in is the
// caller's choice.
package rota

import (
	"cmp"
	"math/big"
	"slices"
)

// Share is somebody who was there to do a piece of work, and how much of a full
// share is expected of them: 100 for a full one, 50 for half.
type Share struct {
	Person  int64
	Percent int
}

// Turn is one piece of work that came round.
type Turn struct {
	Effort   int     // at least 0
	Assigned int64   // whose turn it was; 0 when nobody's
	Doers    []int64 // who did it, in equal parts; none when it was left undone
	Free     []Share // who was there for it and could have done it
}

// Ledger is the account of effort: for each person, what they did less their share
// of what was done while they were there. The balances always sum to zero, and
// whoever was not there owes nothing of it. The zero Ledger is empty.
type Ledger struct {
	balance  map[int64]*big.Rat
	done     map[int64]*big.Rat
	assigned map[int64]int // the turn at which somebody was last called
	turns    int
}

// Book writes a turn down. One that nobody did moves no balance. Without anybody
// who was there the doers owe it themselves.
func (l *Ledger) Book(t Turn) {
	l.open()
	l.turns++
	called := t.Doers
	if t.Assigned != 0 {
		called = []int64{t.Assigned}
	}
	for _, p := range called {
		l.assigned[p] = l.turns
	}
	if len(t.Doers) == 0 || t.Effort <= 0 {
		return
	}
	part := big.NewRat(int64(t.Effort), int64(len(t.Doers)))
	for _, p := range t.Doers {
		add(l.done, p, part)
		add(l.balance, p, part)
	}
	free, all := owing(t)
	for _, s := range free {
		owed := big.NewRat(int64(t.Effort)*int64(s.Percent), all)
		add(l.balance, s.Person, owed.Neg(owed))
	}
}

// owing are those who share the debt of a turn, with the sum of their percents.
func owing(t Turn) (free []Share, all int64) {
	for _, s := range t.Free {
		if s.Percent > 0 {
			free, all = append(free, s), all+int64(s.Percent)
		}
	}
	if all > 0 {
		return free, all
	}
	for _, p := range t.Doers {
		free, all = append(free, Share{p, 100}), all+100
	}
	return free, all
}

func (l *Ledger) open() {
	if l.balance == nil {
		l.balance, l.done, l.assigned = map[int64]*big.Rat{}, map[int64]*big.Rat{}, map[int64]int{}
	}
}

func add(to map[int64]*big.Rat, person int64, by *big.Rat) {
	if to[person] == nil {
		to[person] = new(big.Rat)
	}
	to[person].Add(to[person], by)
}

// Next returns whose turn it is among those who are free, who stand in the order
// of the roster: the lowest balance, then who has waited longest for their share
// (of whom half is expected waits twice as long), then the roster. It is 0 when
// nobody is free.
func (l *Ledger) Next(free []Share) int64 {
	if len(free) == 0 {
		return 0
	}
	waited := func(s Share) int { return (l.turns + 1 - l.assigned[s.Person]) * s.Percent }
	return slices.MinFunc(free, func(a, b Share) int {
		return cmp.Or(l.Balance(a.Person).Cmp(l.Balance(b.Person)), cmp.Compare(waited(b), waited(a)))
	}).Person
}

// Balance returns what somebody did less their share, in units of effort: below
// zero when work is still to come round to them.
func (l *Ledger) Balance(person int64) *big.Rat { return copied(l.balance[person]) }

// Done returns the effort that somebody did.
func (l *Ledger) Done(person int64) *big.Rat { return copied(l.done[person]) }

func copied(v *big.Rat) *big.Rat {
	if v == nil {
		return new(big.Rat)
	}
	return new(big.Rat).Set(v)
}
