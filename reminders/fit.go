package reminders

import (
	"fmt"
	"slices"
	"strings"
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

// youngFor is how long a mother counts as one with young when nobody tells the weaning.
const youngFor = 26 * 7 * 24 * time.Hour

// UnfitHere is Unfit with the flock book open: an animal that the work calls by its
// name counts as what it is, a boar or a mother with young.
func UnfitHere(tx *storage.Tx, c storage.Chore, p storage.Person, now time.Time) (why string, never bool, err error) {
	why, never = Unfit(c, p, now)
	if never || !p.Child(now) {
		return why, never, nil
	}
	book, err := stockOf(tx, p.Household)
	kinds := book.in(c.Name, now)
	if err != nil || kinds == "" {
		return why, never, err
	}
	named := c.Name
	c.Name += ", " + kinds
	if whyHere, neverHere := Unfit(c, p, now); whyHere != "" {
		return strings.Replace(whyHere, upper(c.Name), upper(named), 1), neverHere, nil
	}
	return why, never, nil
}

// stock is the flock book as far as a child's work hangs on it.
type stock struct {
	herds   []storage.Herd
	matings []storage.Mating
}

func stockOf(tx *storage.Tx, household int64) (s stock, err error) {
	if s.herds, err = tx.Herds(household); err != nil || len(s.herds) == 0 {
		return s, err
	}
	s.matings, err = tx.Matings(household)
	return s, err
}

// in says what the animals are that a piece of work calls by name at an instant: "boar",
// "sow with young"; empty for none.
func (s stock) in(work string, now time.Time) string {
	if len(s.herds) == 0 {
		return ""
	}
	words := " " + strings.Join(titleWords(strings.ReplaceAll(strings.ToLower(work), "'s", "")), " ") + " "
	var out []string
	for _, h := range s.herds {
		name := h.Name
		if name == "" && h.Head == 1 {
			name = h.Kind // the sow, where there is but one
		}
		if name == "" || h.Head <= 0 || !strings.Contains(words, " "+strings.ToLower(name)+" ") {
			continue
		}
		what := h.Kind
		if slices.ContainsFunc(s.matings, func(m storage.Mating) bool { return m.Herd == h.ID && withYoung(m, now) }) {
			what += " with young"
		}
		out = append(out, what)
	}
	return strings.Join(out, " and ")
}

func withYoung(m storage.Mating, now time.Time) bool {
	return m.Fate == storage.FateBorn && m.Born > 0 && m.Weaned.IsZero() && now.Sub(m.Over) < youngFor
}

// UnfitFor says why a bell is not for somebody: by its chore where it has one, else
// by what is never a child's.
func UnfitFor(tx *storage.Tx, b storage.Bell, p storage.Person, now time.Time) (string, error) {
	c, ok, err := ChoreOf(tx, b)
	if err != nil || !ok {
		return "", err
	}
	why, _, err := UnfitHere(tx, c, p, now)
	return why, err
}

// ChoreOf returns the chore that a bell rings for.
func ChoreOf(tx *storage.Tx, b storage.Bell) (storage.Chore, bool, error) {
	var num int
	if n, err := fmt.Sscanf(b.Subject, "chore:%d", &num); err != nil || n != 1 {
		return storage.Chore{}, false, nil
	}
	return tx.ChoreNumbered(b.Household, num)
}
