package storage

import (
	"database/sql"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// How a chore is given out.
const (
	ChoreOne     = "one"
	ChoreSeveral = "several" // all of them together
	ChoreFree    = "free"    // whoever of them is free
	ChoreTurn    = "turn"
	ChoreDays    = "days" // each on their days of the week
	ChoreLeast   = "least"
)

// Chore is work that comes round. Its bells have the subject that Subject returns.
type Chore struct {
	ID        int64
	Household int64
	Num       int
	Name      string
	Minutes   int
	Effort    int     // 0 for its minutes
	Least     int     // least age set by a keeper; 0 for the usual one
	Allowed   []int64 // people below the usual age of whom a keeper said yes
	Place     string
	How       string
	Made      time.Time
	Stopped   bool
}

// Subject is what the chore's bells are about.
func (c Chore) Subject() string { return fmt.Sprintf("chore:%d", c.Num) }

// Counts is what it counts for, in minutes.
func (c Chore) Counts() int {
	if c.Effort > 0 {
		return c.Effort
	}
	return c.Minutes
}

const choreColumns = `id, household, num, name, minutes, effort, least, allowed, place, how, made, stopped IS NOT NULL`

func scanChore(r scanner) (Chore, error) {
	var c Chore
	var made int64
	var allowed string
	err := r.Scan(&c.ID, &c.Household, &c.Num, &c.Name, &c.Minutes, &c.Effort, &c.Least, &allowed, &c.Place, &c.How, &made, &c.Stopped)
	c.Allowed, c.Made = parseIDs(allowed), time.Unix(made, 0).UTC()
	return c, err
}

// AddChore writes a chore and numbers it.
func (tx *Tx) AddChore(c Chore) (Chore, error) {
	_, err := tx.One(`INSERT INTO chore (household, num, name, minutes, effort, least, allowed, place, how, made)
		VALUES (?, (SELECT coalesce(max(num), 0) + 1 FROM chore WHERE household = ?), ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id, num`,
		[]any{c.Household, c.Household, c.Name, c.Minutes, c.Effort, c.Least, joinIDs(c.Allowed), c.Place, c.How, c.Made.Unix()}, &c.ID, &c.Num)
	return c, err
}

// SaveChore writes back what can change of a chore.
func (tx *Tx) SaveChore(c Chore) error {
	_, err := tx.Exec(`UPDATE chore SET name = ?, minutes = ?, effort = ?, least = ?, allowed = ?, place = ?, how = ? WHERE id = ?`,
		c.Name, c.Minutes, c.Effort, c.Least, joinIDs(c.Allowed), c.Place, c.How, c.ID)
	return err
}

// StopChore ends a chore for good; what was done of it stays.
func (tx *Tx) StopChore(id int64, now time.Time) error {
	_, err := tx.Exec(`UPDATE chore SET stopped = ? WHERE id = ?`, now.Unix(), id)
	return err
}

// Chores returns a household's chores in the order in which they were made, those
// that were stopped too.
func (tx *Tx) Chores(household int64) ([]Chore, error) {
	return collect(tx, scanChore, `SELECT `+choreColumns+` FROM chore WHERE household = ? ORDER BY num`, household)
}

// ChoreNumbered returns the chore of that number.
func (tx *Tx) ChoreNumbered(household int64, num int) (Chore, bool, error) {
	return first(tx, scanChore, `SELECT `+choreColumns+` FROM chore WHERE household = ? AND num = ?`, household, num)
}

// Share is somebody who was there for a piece of work, with their percent of a full
// share.
type Share struct {
	Person  int64
	Percent int
}

// Work is a chore that was done once, or, where Open is set, one that somebody has
// been called to and has not answered.
type Work struct {
	ID        int64
	Household int64
	Chore     int
	Ring      int64 // 0 when it had not rung
	Due, At   time.Time
	Effort    int
	Doers     []int64
	Free      []Share
	Open      bool
}

const workColumns = `id, household, chore, coalesce(ring, 0), due, at, effort, doers, free, 0`

func scanWork(r scanner) (Work, error) {
	var w Work
	var due, at int64
	var doers, free string
	err := r.Scan(&w.ID, &w.Household, &w.Chore, &w.Ring, &due, &at, &w.Effort, &doers, &free, &w.Open)
	w.Due, w.At = time.Unix(due, 0).UTC(), time.Unix(at, 0).UTC()
	w.Doers, w.Free = parseIDs(doers), parseShares(free)
	if w.Open { // those among whom it goes by least done, as the bell names them
		for _, id := range parseIDs(free) {
			w.Free = append(w.Free, Share{id, 100})
		}
	}
	return w, err
}

// Subject is what the bells of its chore are about.
func (w Work) Subject() string { return Chore{Num: w.Chore}.Subject() }

// AddWork writes down that a chore was done.
func (tx *Tx) AddWork(w Work) error {
	_, err := tx.Exec(`INSERT INTO work (household, chore, ring, due, at, effort, doers, free) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		w.Household, w.Chore, null(w.Ring), w.Due.Unix(), w.At.Unix(), w.Effort, joinIDs(w.Doers), joinShares(w.Free))
	return err
}

// SaveWork writes back who did it and when.
func (tx *Tx) SaveWork(w Work) error {
	_, err := tx.Exec(`UPDATE work SET at = ?, doers = ? WHERE id = ?`, w.At.Unix(), joinIDs(w.Doers), w.ID)
	return err
}

// DropWork takes back that a chore was done.
func (tx *Tx) DropWork(id int64) error {
	_, err := tx.Exec(`DELETE FROM work WHERE id = ?`, id)
	return err
}

// Works returns what was done in [from, to), oldest first.
func (tx *Tx) Works(household int64, from, to time.Time) ([]Work, error) {
	return collect(tx, scanWork, `SELECT `+workColumns+` FROM work WHERE household = ? AND at >= ? AND at < ? ORDER BY at, id`, household, from.Unix(), to.Unix())
}

// WorkOf returns what was done of a chore last, at or before an instant of its due
// time.
func (tx *Tx) WorkOf(household int64, chore int, dueBy time.Time) (Work, bool, error) {
	return first(tx, scanWork, `SELECT `+workColumns+` FROM work WHERE household = ? AND chore = ? AND due <= ? ORDER BY due DESC, id DESC LIMIT 1`, household, chore, dueBy.Unix())
}

// Account returns what the balance of a household is reckoned from: the work since
// an instant, and what people have been called to and have not answered. It is
// empty in a household where no chore goes to whoever has done least.
func (tx *Tx) Account(household int64, since time.Time) ([]Work, error) {
	return collect(tx, scanWork, `SELECT `+workColumns+` FROM work WHERE household = ?1 AND at >= ?2
			AND EXISTS (SELECT 1 FROM chore WHERE household = ?1 AND how = 'least' AND stopped IS NULL)
		UNION ALL
		SELECT 0, ring.household, chore.num, ring.id, ring.due, ring.due, CASE chore.effort WHEN 0 THEN chore.minutes ELSE chore.effort END, ring.whom,
			substr(bell.whom, instr(bell.whom, ':') + 1), 1
			FROM ring JOIN bell ON bell.id = ring.bell JOIN chore ON chore.household = ring.household AND bell.subject = 'chore:' || chore.num
			WHERE ring.household = ?1 AND ring.answer IS NULL AND bell.subject LIKE 'chore:%'
			AND EXISTS (SELECT 1 FROM chore WHERE household = ?1 AND how = 'least' AND stopped IS NULL)
		ORDER BY 6, 1`, household, since.Unix())
}

// Missed returns the rings of a household's chores that fell due in [from, to) and
// that nobody did: they were left until the next, or until they made no sense.
func (tx *Tx) Missed(household int64, from, to time.Time) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE household = ? AND due >= ? AND due < ? AND answer IN ('merged', 'none', 'missed')
		AND bell IN (SELECT id FROM bell WHERE household = ? AND subject LIKE 'chore:%') ORDER BY due, id`, household, from.Unix(), to.Unix(), household)
}

// BellRings returns the rings of a bell that fell due in [from, to), oldest first.
func (tx *Tx) BellRings(bell int64, from, to time.Time) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE bell = ? AND due >= ? AND due < ? ORDER BY due, id`, bell, from.Unix(), to.Unix())
}

// Trade is an offer to take turns of each other, or, where Takes is zero, to take
// one.
type Trade struct {
	ID           int64
	Household    int64
	Chore        int
	Giver, Taker int64
	Gives, Takes time.Time
	Asked        int64 // whose yes is waited for
	Made         time.Time
}

// AddTrade writes an offer down.
func (tx *Tx) AddTrade(t Trade) error {
	_, err := tx.Exec(`INSERT INTO trade (household, chore, giver, taker, gives, takes, asked, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		t.Household, t.Chore, t.Giver, t.Taker, t.Gives.Unix(), nullTime(t.Takes), t.Asked, t.Made.Unix())
	return err
}

// SettleTrade notes that an offer was answered.
func (tx *Tx) SettleTrade(id int64, now time.Time) error {
	_, err := tx.Exec(`UPDATE trade SET settled = ? WHERE id = ?`, now.Unix(), id)
	return err
}

// Trades returns the offers that wait for somebody's yes and whose first turn is
// still to come, newest first.
func (tx *Tx) Trades(household, asked int64, now time.Time) ([]Trade, error) {
	return collect(tx, func(r scanner) (Trade, error) {
		var t Trade
		var gives, made int64
		var takes sql.NullInt64
		err := r.Scan(&t.ID, &t.Household, &t.Chore, &t.Giver, &t.Taker, &gives, &takes, &t.Asked, &made)
		t.Gives, t.Takes, t.Made = time.Unix(gives, 0).UTC(), instant(takes), time.Unix(made, 0).UTC()
		return t, err
	}, `SELECT id, household, chore, giver, taker, gives, takes, asked, made FROM trade
		WHERE household = ? AND asked = ? AND settled IS NULL AND gives > ? AND (takes IS NULL OR takes > ?) ORDER BY id DESC`, household, asked, now.Unix(), now.Unix())
}

// SetShare sets of how much of a full share of the chores somebody is asked, in
// percent.
func (tx *Tx) SetShare(person int64, percent int) error {
	_, err := tx.Exec(`UPDATE person SET share = ? WHERE id = ?`, percent, person)
	return err
}

// SetBirthday writes a birthday down as month and day; a child's age counts from it.
func (tx *Tx) SetBirthday(p Person) error {
	_, err := tx.Exec(`UPDATE person SET birthday = ?, age = ?, age_on = ? WHERE id = ?`, p.Birthday,
		sql.NullInt64{Int64: int64(p.Age), Valid: p.Age > 0}, sql.NullString{String: p.AgeOn, Valid: p.AgeOn != ""}, p.ID)
	return err
}

// SetOff sets the days on which somebody has no chores.
func (tx *Tx) SetOff(person int64, days DaySet) error {
	_, err := tx.Exec(`UPDATE person SET off = ? WHERE id = ?`, days.String(), person)
	return err
}

// Swaps are single occurrences of a bell that somebody else has, as they are kept:
// when each falls due in seconds, and whose it is, "1803456000:4 1803542400:3".
type Swaps string

// Of returns who has taken the occurrence due at an instant.
func (s Swaps) Of(due time.Time) (person int64, taken bool) {
	for _, one := range parseShares(string(s)) {
		if one.Person == due.Unix() {
			return int64(one.Percent), true
		}
	}
	return 0, false
}

// With gives an occurrence to somebody.
func (s Swaps) With(due time.Time, person int64) Swaps {
	kept := slices.DeleteFunc(parseShares(string(s)), func(one Share) bool { return one.Person == due.Unix() })
	return Swaps(joinShares(append(kept, Share{due.Unix(), int(person)})))
}

// Without takes from somebody the occurrences that fall due after an instant.
func (s Swaps) Without(person int64, after time.Time) Swaps {
	return Swaps(joinShares(slices.DeleteFunc(parseShares(string(s)), func(one Share) bool {
		return int64(one.Percent) == person && one.Person > after.Unix()
	})))
}

// RestDays are the days on which a bell does not ring, kept as a DaySet is.
type RestDays string

// Has reports whether a date is one of them.
func (r RestDays) Has(day time.Time) bool {
	if r == "" || r == "off" {
		return false
	}
	set, err := parseDaySet(string(r))
	return err == nil && set.Has(day)
}

// With adds a run of dates.
func (r RestDays) With(run Days) RestDays {
	if r == "" || r == "off" {
		return RestDays(run.String())
	}
	return r + RestDays("; "+run.String())
}

// Before keeps the days that lie before a date, and reports whether others were there.
func (r RestDays) Before(day time.Time) (left RestDays, more bool) {
	if r == "" || r == "off" {
		return r, false
	}
	set, err := parseDaySet(string(r))
	if err != nil {
		return r, false
	}
	left = "off"
	for _, run := range set {
		more = more || !run.To.Before(day)
		if run.To.Before(day) {
			left = left.With(run)
		} else if run.From.Before(day) {
			left = left.With(Days{From: run.From, To: day.AddDate(0, 0, -1)})
		}
	}
	return left, more
}

func parseIDs(text string) []int64 {
	var out []int64
	for s := range strings.SplitSeq(text, ",") {
		if id, err := strconv.ParseInt(s, 10, 64); err == nil {
			out = append(out, id)
		}
	}
	return out
}

func joinIDs(ids []int64) string {
	var out []string
	for _, id := range ids {
		out = append(out, strconv.FormatInt(id, 10))
	}
	return strings.Join(out, ",")
}

func parseShares(text string) []Share {
	var out []Share
	for s := range strings.FieldsSeq(text) {
		who, percent, _ := strings.Cut(s, ":")
		id, err := strconv.ParseInt(who, 10, 64)
		n, err2 := strconv.Atoi(percent)
		if err == nil && err2 == nil {
			out = append(out, Share{id, n})
		}
	}
	return out
}

func joinShares(shares []Share) string {
	var out []string
	for _, s := range shares {
		out = append(out, fmt.Sprintf("%d:%d", s.Person, s.Percent))
	}
	return strings.Join(out, " ")
}
