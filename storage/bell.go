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
}

const bellColumns = `id, household, num, title, hint, whom, schedule, next, due, coalesce(remain, 0), until, safety, daily, useful, subject, step, why, made, stopped IS NOT NULL`

func scanBell(r scanner) (Bell, error) {
	var b Bell
	var next, due, until sql.NullInt64
	var useful, made int64
	err := r.Scan(&b.ID, &b.Household, &b.Num, &b.Title, &b.Hint, &b.Whom, &b.Schedule, &next, &due, &b.Remain, &until,
		&b.Safety, &b.Daily, &useful, &b.Subject, &b.Step, &b.Why, &made, &b.Stopped)
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
	b.ID, err = tx.Insert(`INSERT INTO bell (household, num, title, hint, whom, schedule, next, due, remain, until, safety, daily, useful, subject, step, why, made)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		b.Household, b.Num, b.Title, b.Hint, b.Whom, b.Schedule, nullTime(b.Next), nullTime(b.Due), sql.NullInt64{Int64: int64(b.Remain), Valid: b.Remain > 0},
		nullTime(b.Until), b.Safety, b.Daily, int64(b.Useful/time.Second), b.Subject, b.Step, b.Why, b.Made.Unix())
	return b, err
}

// MoveBell sets when a bell falls due next and how many times are left.
func (tx *Tx) MoveBell(id int64, next, due time.Time, remain int) error {
	_, err := tx.Exec(`UPDATE bell SET next = ?, due = ?, remain = ? WHERE id = ?`,
		nullTime(next), nullTime(due), sql.NullInt64{Int64: int64(remain), Valid: remain > 0}, id)
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

// DueBells returns bells of all households that fall due by now, oldest first.
func (tx *Tx) DueBells(now time.Time, limit int) ([]Bell, error) {
	return collect(tx, scanBell, `SELECT `+bellColumns+` FROM bell WHERE next <= ? ORDER BY next, id LIMIT ?`, now.Unix(), limit)
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
}

// Answers of a ring besides those that people give (done, skip).
const (
	AnswerDone    = "done"
	AnswerSkip    = "skip"
	AnswerMissed  = "missed"  // it made no sense any more
	AnswerStopped = "stopped" // its bell was stopped
	AnswerMerged  = "merged"  // a later ring of the same bell took its place
)

const ringColumns = `id, household, num, bell, due, whom, wake, said, last_said, coalesce(answer, ''), answered, coalesce(answered_by, 0)`

func scanRing(r scanner) (Ring, error) {
	var g Ring
	var due int64
	var wake, last, answered sql.NullInt64
	err := r.Scan(&g.ID, &g.Household, &g.Num, &g.Bell, &due, &g.Whom, &wake, &g.Said, &last, &g.Answer, &answered, &g.AnsweredBy)
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
	g.ID, err = tx.Insert(`INSERT INTO ring (household, num, bell, due, whom, wake, answer, answered) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		g.Household, g.Num, g.Bell, g.Due.Unix(), g.Whom, nullTime(g.Wake), sql.NullString{String: g.Answer, Valid: g.Answer != ""}, nullTime(g.Answered))
	return g, err
}

// SaveRing writes the state of a ring back.
func (tx *Tx) SaveRing(g Ring) error {
	_, err := tx.Exec(`UPDATE ring SET whom = ?, wake = ?, said = ?, last_said = ?, answer = ?, answered = ?, answered_by = ? WHERE id = ?`,
		g.Whom, nullTime(g.Wake), g.Said, nullTime(g.LastSaid), sql.NullString{String: g.Answer, Valid: g.Answer != ""},
		nullTime(g.Answered), null(g.AnsweredBy), g.ID)
	return err
}

// WakingRings returns open rings of all households to be said by now.
func (tx *Tx) WakingRings(now time.Time, limit int) ([]Ring, error) {
	return collect(tx, scanRing, `SELECT `+ringColumns+` FROM ring WHERE wake <= ? ORDER BY wake, id LIMIT ?`, now.Unix(), limit)
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

// NextWake returns the earliest instant at which anything is to be done.
func (tx *Tx) NextWake() (time.Time, error) {
	var next, wake sql.NullInt64
	if _, err := tx.One(`SELECT (SELECT min(next) FROM bell WHERE next IS NOT NULL), (SELECT min(wake) FROM ring WHERE wake IS NOT NULL)`, nil, &next, &wake); err != nil {
		return time.Time{}, err
	}
	switch {
	case !next.Valid:
		return instant(wake), nil
	case wake.Valid && wake.Int64 < next.Int64:
		return instant(wake), nil
	}
	return instant(next), nil
}

// RescheduleBell gives a bell another schedule and next time.
func (tx *Tx) RescheduleBell(id int64, schedule string, next time.Time, remain int) error {
	_, err := tx.Exec(`UPDATE bell SET schedule = ?, next = ?, remain = ? WHERE id = ?`,
		schedule, nullTime(next), sql.NullInt64{Int64: int64(remain), Valid: remain > 0}, id)
	return err
}
