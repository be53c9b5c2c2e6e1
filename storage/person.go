package storage

import (
	"database/sql"
	"slices"
	"time"
)

// Person is one of the household. A child is a hand with an age.
type Person struct {
	ID        int64
	Household int64
	Name      string
	Keeper    bool
	Age       int    // 0 for an adult
	AgeOn     string // the date on which that age was told
	Gone      bool
	Share     int    // of a full share of the chores, in percent
	Birthday  string // "05-04", empty when not told
	Off       DaySet // days without chores
	// Expecting is that the person expects a child: kept from lambing and kidding, from
	// birth fluids and from cats' trays. It is private: told to her and to keepers in a
	// chat of their own, never in the group, in no list and in no entry of the day book.
	Expecting bool
	Due       time.Time // the last day of it, zero until told otherwise
}

// ExpectingOn reports that the person expects a child on a day, a wall time.
func (p Person) ExpectingOn(day time.Time) bool {
	return p.Expecting && (p.Due.IsZero() || !day.After(p.Due.AddDate(0, 0, 1)))
}

// Child reports whether the person was under 18 when added and still is.
func (p Person) Child(now time.Time) bool {
	age := p.AgeAt(now)
	return age > 0 && age < 18
}

// AgeAt returns the age now, from the age and date told; 0 for an adult whose
// age was not told.
func (p Person) AgeAt(now time.Time) int {
	on, err := time.Parse(time.DateOnly, p.AgeOn)
	if p.Age == 0 || err != nil {
		return p.Age
	}
	years := now.Year() - on.Year()
	if on.AddDate(years, 0, 0).After(now) {
		years--
	}
	return p.Age + max(years, 0)
}

// HasBirthday reports whether a date is the person's birthday; one on 29 February is
// kept on the 28th in common years.
func (p Person) HasBirthday(day time.Time) bool {
	if p.Birthday == "02-29" && day.AddDate(0, 0, 1).Day() == 1 {
		return day.Month() == time.February
	}
	return p.Birthday != "" && day.Format("01-02") == p.Birthday
}

// AddPerson writes a person down, or brings back one who had gone: under that
// name, not under the account, which nobody has confirmed for whoever comes now.
func (tx *Tx) AddPerson(p Person) (int64, error) {
	role := "hand"
	if p.Keeper {
		role = "keeper"
	}
	age := sql.NullInt64{Int64: int64(p.Age), Valid: p.Age > 0}
	on := sql.NullString{String: p.AgeOn, Valid: p.Age > 0}
	if _, err := tx.Exec(`DELETE FROM account WHERE NOT shared AND person IN (SELECT id FROM person WHERE household = ? AND name = ? AND gone)`, p.Household, p.Name); err != nil {
		return 0, err
	}
	var id int64
	_, err := tx.One(`INSERT INTO person (household, name, role, age, age_on) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET role = excluded.role, age = excluded.age, age_on = excluded.age_on, gone = 0
		RETURNING id`, []any{p.Household, p.Name, role, age, on}, &id)
	return id, err
}

// RemovePerson keeps the record and its name in the day book, and closes the
// door: a person who has gone may not write.
func (tx *Tx) RemovePerson(id int64) error {
	_, err := tx.Exec(`UPDATE person SET gone = 1, expecting = 0, due = '' WHERE id = ?`, id)
	return err
}

// SetExpecting writes that a person expects a child, until a day or, with a zero one,
// until told otherwise; or no longer does.
func (tx *Tx) SetExpecting(person int64, on bool, due time.Time) error {
	_, err := tx.Exec(`UPDATE person SET expecting = ?, due = ? WHERE id = ?`, on, dayText(due), person)
	return err
}

// peopleOf is what the people of a household are kept by.
type peopleOf int64

// People returns the household's people in the order in which they came.
func (tx *Tx) People(household int64) ([]Person, error) {
	people, err := Kept(tx, peopleOf(household), func() ([]Person, error) {
		return collect(tx, scanPerson, `SELECT id, household, name, role, coalesce(age, 0), coalesce(age_on, ''), gone, share, birthday, off, expecting, due FROM person WHERE household = ? ORDER BY id`, household)
	})
	return slices.Clone(people), err
}

func scanPerson(r scanner) (Person, error) {
	var p Person
	var role, off string
	var due day
	if err := r.Scan(&p.ID, &p.Household, &p.Name, &role, &p.Age, &p.AgeOn, &p.Gone, &p.Share, &p.Birthday, &off, &p.Expecting, &due); err != nil {
		return p, err
	}
	days, err := parseDaySet(off)
	p.Off, p.Keeper, p.Due = slices.Clip(days), role == "keeper", time.Time(due)
	return p, err
}
