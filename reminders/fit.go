package reminders

import (
	"fmt"
	"slices"
	"time"

	"yardbell/calc/childwork"
	"yardbell/storage"
)

// Unfit says why a chore is not for somebody, empty when it is. What is never a
// child's stays so whatever a household sets; a usual age holds unless a keeper has
// said otherwise of that child, and an age that a keeper set holds in any case. Where
// animals give birth is not for who expects a child.
func Unfit(c storage.Chore, p storage.Person, now time.Time) (why string, never bool) {
	if p.ExpectingOn(now) && NearBirth(storage.Bell{Title: c.Name}) { // and no word why
		return fmt.Sprintf("Not %s, this one: another adult has %s.", p.Name, c.Name), true
	}
	if !p.Child(now) {
		return "", false
	}
	v, age := childwork.Judge(c.Name), p.AgeAt(now)
	switch {
	case v.Never:
		return fmt.Sprintf("%s is never work for a child: %s.", upper(c.Name), v.What), true
	case age < childwork.Youngest:
		return fmt.Sprintf("%s is %d: no chores under %d, only along at an adult's hand.", p.Name, age, childwork.Youngest), true
	case age < c.Least:
		return fmt.Sprintf("%s is %d, and %s is set from %d.", p.Name, age, c.Name, c.Least), true
	case age < v.Least && !slices.Contains(c.Allowed, p.ID):
		return fmt.Sprintf("%s is %d; the usual age for %s is %d.", p.Name, age, v.What, v.Least), false
	}
	return "", false
}

// UnfitFor says why a bell is not for somebody: by its chore where it has one, else
// by what is never a child's.
func UnfitFor(tx *storage.Tx, b storage.Bell, p storage.Person, now time.Time) (string, error) {
	c, ok, err := ChoreOf(tx, b)
	if err != nil || !ok {
		return "", err
	}
	why, _ := Unfit(c, p, now)
	return why, nil
}

// ChoreOf returns the chore that a bell rings for.
func ChoreOf(tx *storage.Tx, b storage.Bell) (storage.Chore, bool, error) {
	var num int
	if n, err := fmt.Sscanf(b.Subject, "chore:%d", &num); err != nil || n != 1 {
		return storage.Chore{}, false, nil
	}
	return tx.ChoreNumbered(b.Household, num)
}
