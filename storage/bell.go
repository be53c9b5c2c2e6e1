package storage

import (
	"database/sql"
	"time"
)

// Bell is a thing to be reminded of.
type Bell struct {
	ID        int64
	Household int64
	Num       int
	Title     string
	Hint      string        // said with the ring, not with its answers
	Whom      string        // see reminders.Whom
	Schedule  string        // see reminders.Parse; empty for once
	Next      time.Time     // when it falls due next; zero when no more
	Due       time.Time     // when it fell due last; zero when never yet
	Remain    int           // occurrences left, 0 for no end
	Until     time.Time     // last instant at which it may fall due; zero for no end
	Safety    bool          // rings until done or all clear, quiet hours or not
	Daily     bool          // belongs to a day: told in the round
	Useful    time.Duration // how long after its time it still makes sense
	Subject   string        // "batch:3"
	Step      string        // "cut"
	Why       string        // why it exists, for people
	Made      time.Time
	Stopped   bool
	Care      bool     // animals, meals, medicine: rings on a bare day, goes to others meanwhile
	Firm      bool     // food safety, rising dough: stays when the day runs behind
	Elapsed   bool     // counted in hours from an event, not on the wall clock
	Again     string   // its own ladder, see reminders.ParseLadder; empty for the household's
	Cost      string   // what waiting costs, for people
	Turn      int64    // the person who had the last turn
	Swaps     Swaps    // single occurrences that somebody else has
	Rest      RestDays // days on which it does not ring
}

const bellColumns = `id, household, num, title, hint, whom, schedule, next, due, coalesce(remain, 0), until, safety, daily, useful, subject, step, why, made, stopped IS NOT NULL,
	care, firm, elapsed, again, cost, coalesce(turn, 0), swaps, rest`

func scanBell(r scanner) (Bell, error) {
	var b Bell
	var next, due, until sql.NullInt64
	var useful, made int64
	err := r.Scan(&b.ID, &b.Household, &b.Num, &b.Title, &b.Hint, &b.Whom, &b.Schedule, &next, &due, &b.Remain, &until,
		&b.Safety, &b.Daily, &useful, &b.Subject, &b.Step, &b.Why, &made, &b.Stopped, &b.Care, &b.Firm, &b.Elapsed, &b.Again, &b.Cost, &b.Turn, &b.Swaps, &b.Rest)
	b.Next, b.Due, b.Until = instant(next), instant(due), instant(until)
	b.Useful, b.Made = time.Duration(useful)*time.Second, time.Unix(made, 0).UTC()
	return b, err
}

func instant(n sql.NullInt64) time.Time {
	if !n.Valid {
		return time.Time{}
	}
	return time.Unix(n.Int64, 0).UTC()
}

func nullTime(t time.Time) sql.NullInt64 {
	return sql.NullInt64{Int64: t.Unix(), Valid: !t.IsZero()}
}

// AddBell writes a bell and gives it a number.
func (tx *Tx) AddBell(b Bell) (Bell, error) {
	n, err := tx.NextNumber(b.Household)
	if err != nil {
		return b, err
	}
	b.Num = n
	b.ID, err = tx.Insert(`INSERT INTO bell (household, num, title, hint, whom, schedule, next, due, remain, until, safety, daily, useful, subject, step, why, made, care, firm, elapsed, again, cost, turn, swaps, rest)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		b.Household, b.Num, b.Title, b.Hint, b.Whom, b.Schedule, nullTime(b.Next), nullTime(b.Due), sql.NullInt64{Int64: int64(b.Remain), Valid: b.Remain > 0},
		nullTime(b.Until), b.Safety, b.Daily, int64(b.Useful/time.Second), b.Subject, b.Step, b.Why, b.Made.Unix(),
		b.Care, b.Firm, b.Elapsed, b.Again, b.Cost, null(b.Turn), b.Swaps, b.Rest)
	return b, err
}

// MoveBell sets when a bell falls due next and how many times are left.
func (tx *Tx) MoveBell(id int64, next, due time.Time, remain int) error {
	_, err := tx.Exec(`UPDATE bell SET next = ?, due = ?, remain = ? WHERE id = ?`,
		nullTime(next), nullTime(due), sql.NullInt64{Int64: int64(remain), Valid: remain > 0}, id)
	return err
}

// SaveBell writes back what can be changed of a bell.
func (tx *Tx) SaveBell(b Bell) error {
	_, err := tx.Exec(`UPDATE bell SET title = ?, whom = ?, schedule = ?, next = ?, due = ?, remain = ?, until = ?, daily = ?, useful = ?, safety = ?, care = ?, again = ?, turn = ?, swaps = ?, rest = ? WHERE id = ?`,
		b.Title, b.Whom, b.Schedule, nullTime(b.Next), nullTime(b.Due), sql.NullInt64{Int64: int64(b.Remain), Valid: b.Remain > 0},
		nullTime(b.Until), b.Daily, int64(b.Useful/time.Second), b.Safety, b.Care, b.Again, null(b.Turn), b.Swaps, b.Rest, b.ID)
	return err
}

// StopBell ends a bell for good; its open rings are closed as stopped.
func (tx *Tx) StopBell(id int64, now time.Time) error {
	if _, err := tx.Exec(`UPDATE bell SET next = NULL, stopped = ? WHERE id = ? AND stopped IS NULL`, now.Unix(), id); err != nil {
		return err
	}
	_, err := tx.Exec(`UPDATE ring SET wake = NULL, answer = 'stopped', answered = ? WHERE bell = ? AND answer IS NULL`, now.Unix(), id)
	return err
}

// DueHousehold returns a household for which something is to be done by now.
func (tx *Tx) DueHousehold(now time.Time) (int64, bool, error) {
	var id int64
	ok, err := tx.One(`SELECT household FROM (SELECT household FROM stir LIMIT 1) UNION ALL
		SELECT household FROM (SELECT household FROM bell WHERE next <= ?1 ORDER BY next LIMIT 1) UNION ALL
		SELECT household FROM (SELECT household FROM ring WHERE wake <= ?1 ORDER BY wake LIMIT 1) LIMIT 1`, []any{now.Unix()}, &id)
	return id, ok, err
}

// DueBells returns a household's bells that fall due after one time and by
// another, oldest first.
func (tx *Tx) DueBells(household int64, after, by time.Time) ([]Bell, error) {
	return collect(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE household = ? AND stopped IS NULL AND next > ? AND next <= ? ORDER BY next, id`,
		household, after.Unix(), by.Unix())
}

// ComingBells returns a household's bells that will still ring, soonest first.
func (tx *Tx) ComingBells(household int64) ([]Bell, error) {
	return collect(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE household = ? AND stopped IS NULL AND next IS NOT NULL ORDER BY next, id`, household)
}

// Bell returns one bell.
func (tx *Tx) Bell(id int64) (Bell, bool, error) {
	return first(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE id = ?`, id)
}

// BellNumbered returns the bell of that number.
func (tx *Tx) BellNumbered(household int64, num int) (Bell, bool, error) {
	return first(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE household = ? AND num = ?`, household, num)
}

// SubjectBells returns every bell of a subject, stopped ones too.
func (tx *Tx) SubjectBells(household int64, subject string) ([]Bell, error) {
	return collect(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE household = ? AND subject = ? AND subject <> '' ORDER BY id`, household, subject)
}

// Ring is one time that a bell rings.
type Ring struct {
	ID         int64
	Household  int64
	Num        int
	Bell       int64
	Due        time.Time
	Whom       string
	Wake       time.Time // when to say it (again); zero when not any more
	Said       int       // how often it was said
	LastSaid   time.Time
	Answer     string // empty while open
	Answered   time.Time
	AnsweredBy int64
	Held       time.Time // since when the house holds it back; zero when it does not
	Giver      string    // whom it was for before it went to others
	Given      string    // how it went to others
	Board      string    // key of the group's message that it was last told in
	Fell       time.Time // when it was made
	Before     string    // the bell as it was before the ring was made, for RestoreBell
}

// Ways for a ring to go to others.
const (
	GivenOffer = "offer" // handed on by a hand: the receiver may say no
	GivenTaken = "taken" // handed on and taken, or ordered by a keeper
	GivenBack  = "back"  // offered, and the receiver said no
	GivenAway  = "away"  // whom it is for is away, ill or late
)

// Answers of a ring besides those that people give (done, skip).
const (
	AnswerDone    = "done"
	AnswerSkip    = "skip"
	AnswerMissed  = "missed"  // it made no sense any more
	AnswerStopped = "stopped" // its bell was stopped
	AnswerMerged  = "merged"  // a later ring of the same bell took its place
	AnswerNone    = "none"    // it was said, and nobody answered while it made sense
)

const ringColumns = `id, household, num, bell, due, whom, wake, said, last_said, coalesce(answer, ''), answered, coalesce(answered_by, 0),
	held, giver, given, board, fell, before`

func scanRing(r scanner) (Ring, error) {
	var g Ring
	var due, fell, held int64
	var wake, last, answered sql.NullInt64
	err := r.Scan(&g.ID, &g.Household, &g.Num, &g.Bell, &due, &g.Whom, &wake, &g.Said, &last, &g.Answer, &answered, &g.AnsweredBy,
		&held, &g.Giver, &g.Given, &g.Board, &fell, &g.Before)
	g.Fell = time.Unix(fell, 0).UTC()
	if held != 0 {
		g.Held = time.Unix(held, 0).UTC()
	}
	g.Due, g.Wake, g.LastSaid, g.Answered = time.Unix(due, 0).UTC(), instant(wake), instant(last), instant(answered)
	return g, err
}

// AddRing writes a ring and gives it a number.
func (tx *Tx) AddRing(g Ring) (Ring, error) {
	n, err := tx.NextNumber(g.Household)
	if err != nil {
		return g, err
	}
	g.Num = n
	g.ID, err = tx.Insert(`INSERT INTO ring (household, num, bell, due, whom, wake, answer, answered, fell, before) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		g.Household, g.Num, g.Bell, g.Due.Unix(), g.Whom, nullTime(g.Wake), sql.NullString{String: g.Answer, Valid: g.Answer != ""}, nullTime(g.Answered),
		g.Fell.Unix(), g.Before)
	return g, err
}

// SaveRing writes the state of a ring back.
func (tx *Tx) SaveRing(g Ring) error {
	held := int64(0)
	if !g.Held.IsZero() {
		held = g.Held.Unix()
	}
	_, err := tx.Exec(`UPDATE ring SET whom = ?, wake = ?, said = ?, last_said = ?, answer = ?, answered = ?, answered_by = ?,
		held = ?, giver = ?, given = ?, board = ? WHERE id = ?`,
		g.Whom, nullTime(g.Wake), g.Said, nullTime(g.LastSaid), sql.NullString{String: g.Answer, Valid: g.Answer != ""},
		nullTime(g.Answered), null(g.AnsweredBy), held, g.Giver, g.Given, g.Board, g.ID)
	return err
}

// WakingRings returns a household's open rings to be said after one time and by
// another, oldest first.
func (tx *Tx) WakingRings(household int64, after, by time.Time) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE household = ? AND wake > ? AND wake <= ? ORDER BY wake, id`,
		household, after.Unix(), by.Unix())
}

// BoardRings returns the rings that a board shows, in the order in which they
// fell due.
func (tx *Tx) BoardRings(household int64, board string) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE household = ? AND board = ? AND board <> '' ORDER BY due, id`, household, board)
}

// OpenRings returns a household's rings that nobody has answered, oldest first.
func (tx *Tx) OpenRings(household int64) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE household = ? AND answer IS NULL ORDER BY due, id`, household)
}

// RingNumbered returns the ring of that number.
func (tx *Tx) RingNumbered(household int64, num int) (Ring, bool, error) {
	return first(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE household = ? AND num = ?`, household, num)
}

// RingsOf returns a bell's rings that are open, oldest first.
func (tx *Tx) RingsOf(bell int64) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE bell = ? AND answer IS NULL ORDER BY due`, bell)
}

// NextWake returns the earliest instant at which anything is to be done, zero
// when nothing waits, and what is known of the clock: one query, which is all
// that an idle minute costs. A household that is stirred is to be looked at at
// once.
func (tx *Tx) NextWake() (time.Time, Clock, error) {
	var next, wake sql.NullInt64
	var stirred bool
	var seen, from, to int64
	if _, err := tx.One(`SELECT (SELECT min(next) FROM bell WHERE next IS NOT NULL), (SELECT min(wake) FROM ring WHERE wake IS NOT NULL),
		EXISTS (SELECT 1 FROM stir), seen, jump_from, jump_to FROM clock`, nil, &next, &wake, &stirred, &seen, &from, &to); err != nil {
		return time.Time{}, Clock{}, err
	}
	c := clockOf(seen, from, to)
	switch {
	case stirred:
		return time.Unix(0, 0).UTC(), c, nil
	case !next.Valid:
		return instant(wake), c, nil
	case wake.Valid && wake.Int64 < next.Int64:
		return instant(wake), c, nil
	}
	return instant(next), c, nil
}

// Stir lets the next tick look anew at what a household holds back.
func (tx *Tx) Stir(household int64) error {
	_, err := tx.Exec(`INSERT INTO stir (household) VALUES (?) ON CONFLICT (household) DO NOTHING`, household)
	return err
}

// RingingBells returns the bells of a household that have an open ring.
func (tx *Tx) RingingBells(household int64) ([]Bell, error) {
	return collect(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE id IN (SELECT bell FROM ring WHERE household = ? AND answer IS NULL) ORDER BY id`, household)
}

// ChangedBells returns the bells that an entry made or changed and that are still
// there.
func (tx *Tx) ChangedBells(entry int64) ([]Bell, error) {
	return collect(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE id IN (SELECT row FROM change WHERE entry = ? AND tbl = 'bell') ORDER BY id`, entry)
}

// LastRing returns the ring of a bell that fell due last.
func (tx *Tx) LastRing(bell int64) (Ring, bool, error) {
	return first(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE bell = ? ORDER BY due DESC LIMIT 1`, bell)
}

// Unstir looks at what a household holds back: where its settings or absences
// have changed, each such ring is set to wake at an instant.
func (tx *Tx) Unstir(household int64, wake time.Time) error {
	res, err := tx.Exec(`DELETE FROM stir WHERE household = ?`, household)
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return err
	}
	_, err = tx.Exec(`UPDATE ring SET wake = ?1 WHERE household = ?2 AND held AND answer IS NULL AND wake > ?1`, wake.Unix(), household)
	return err
}

// RescheduleBell gives a bell another schedule and next time.
func (tx *Tx) RescheduleBell(id int64, schedule string, next time.Time, remain int) error {
	_, err := tx.Exec(`UPDATE bell SET schedule = ?, next = ?, remain = ? WHERE id = ?`,
		schedule, nullTime(next), sql.NullInt64{Int64: int64(remain), Valid: remain > 0}, id)
	return err
}
