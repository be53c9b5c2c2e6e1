package storage

import (
	"database/sql"
	"strconv"
	"strings"
	"time"
)

// dayTables are journaled; "laid" and "watch" are worked out of them and are not.
var dayTables = []string{"block", "dayword", "job", "jobword", "runup", "nexttime"}

// Block is a fixed stretch of the household's day: who is where.
type Block struct {
	ID          int64
	Household   int64
	Title       string
	First, Past Minutes // Past not after First: it runs into the next day
	Days        Weekdays
	Whom        string // see reminders.Whom
	Place       string // where they are, empty when not said
	Open        bool   // time that is kept for jobs

	Since, Until time.Time // wall dates of its first and last day, both zero for a block of every week
}

// On reports that a block is of a day.
func (b Block) On(day time.Time) bool {
	return b.Days.Has(day.Weekday()) && !day.Before(b.Since) && (b.Until.IsZero() || !day.After(b.Until))
}

// Dated reports a block of some days and not of every week.
func (b Block) Dated() bool { return !b.Until.IsZero() }

// Weekdays is a set of days of the week, one bit each.
type Weekdays uint8

// EveryDay holds all seven, Working Monday to Friday.
const (
	EveryDay Weekdays = 1<<7 - 1
	Working  Weekdays = EveryDay &^ (1<<time.Saturday | 1<<time.Sunday)
)

// Has reports that a day of the week is in the set.
func (w Weekdays) Has(d time.Weekday) bool { return w&(1<<d) != 0 }

// AddBlock writes a block down.
func (tx *Tx) AddBlock(b Block) error {
	_, err := tx.Exec(`INSERT INTO block (household, title, first, past, days, whom, place, open, since, until) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		b.Household, b.Title, b.First, b.Past, b.Days, b.Whom, b.Place, b.Open, dateText(b.Since), dateText(b.Until))
	return err
}

// SaveBlock changes a block's times, days, people and place.
func (tx *Tx) SaveBlock(b Block) error {
	_, err := tx.Exec(`UPDATE block SET first = ?, past = ?, days = ?, whom = ?, place = ?, open = ? WHERE id = ?`, b.First, b.Past, b.Days, b.Whom, b.Place, b.Open, b.ID)
	return err
}

// DropBlock takes a block out of the day.
func (tx *Tx) DropBlock(id int64) error {
	_, err := tx.Exec(`DELETE FROM block WHERE id = ?`, id)
	return err
}

// Blocks returns a household's blocks by their beginning.
func (tx *Tx) Blocks(household int64) ([]Block, error) {
	return collect(tx, func(r scanner) (Block, error) {
		var b Block
		var since, until string
		err := r.Scan(&b.ID, &b.Household, &b.Title, &b.First, &b.Past, &b.Days, &b.Whom, &b.Place, &b.Open, &since, &until)
		b.Since, b.Until = dateOf(since), dateOf(until)
		return b, err
	}, `SELECT id, household, title, first, past, days, whom, place, open, since, until FROM block WHERE household = ? ORDER BY first, id`, household)
}

// What can be said of one day.
const (
	DayOff   = "off"   // a block does not take place
	DayMoved = "moved" // a block is at another time
	DayWet   = "wet"
	DayDry   = "dry"
)

// DayWord is what was said of one day.
type DayWord struct {
	Day         time.Time // a wall date
	Kind        string
	Title       string // of the block, empty for the weather
	First, Past Minutes
}

// atHome begins the title of what is said of a child, and not of a block: all that would
// take it elsewhere is off.
const atHome = "home: "

// ChildHome is the word that a child may be at home at any hour of a day.
func ChildHome(day time.Time, name string) DayWord {
	return DayWord{Day: day, Kind: DayOff, Title: atHome + name}
}

// Child is the child that a word says to be at home, empty for any other word.
func (w DayWord) Child() string {
	if name, is := strings.CutPrefix(w.Title, atHome); is {
		return name
	}
	return ""
}

// AddDayWord writes down what was said of a day, in place of what was said of the same
// before.
func (tx *Tx) AddDayWord(household int64, w DayWord) error {
	if err := tx.DropDayWord(household, w.Day, w.Title); err != nil {
		return err
	}
	_, err := tx.Exec(`INSERT INTO dayword (household, day, kind, title, first, past) VALUES (?, ?, ?, ?, ?, ?)`,
		household, w.Day.Format(time.DateOnly), w.Kind, w.Title, w.First, w.Past)
	return err
}

// DropDayWord forgets what was said of a block, or with no title of the weather, on a day.
func (tx *Tx) DropDayWord(household int64, day time.Time, title string) error {
	_, err := tx.Exec(`DELETE FROM dayword WHERE household = ? AND day = ? AND title = ?`, household, day.Format(time.DateOnly), title)
	return err
}

// DayWords returns what was said of the days from one to another.
func (tx *Tx) DayWords(household int64, from, to time.Time) ([]DayWord, error) {
	return collect(tx, func(r scanner) (DayWord, error) {
		var w DayWord
		var day string
		if err := r.Scan(&day, &w.Kind, &w.Title, &w.First, &w.Past); err != nil {
			return w, err
		}
		var err error
		w.Day, err = time.Parse(time.DateOnly, day)
		return w, err
	}, `SELECT day, kind, title, first, past FROM dayword WHERE household = ? AND day BETWEEN ? AND ? ORDER BY day, id`,
		household, from.Format(time.DateOnly), to.Format(time.DateOnly))
}

// Job is an open job that the household typed itself.
type Job struct {
	ID        int64
	Household int64
	Num       int
	Title     string
	Length    time.Duration
	Near      bool      // children may be near
	Whom      string    // see reminders.Whom; empty for any adult
	Needs     string    // words, parted by spaces
	From, By  time.Time // wall dates
	Pin       time.Time // a wall time at which it begins, zero where nobody set one
	Made      time.Time
	Outcome   string // empty while it is open
}

// Outcomes of a job.
const (
	JobDone    = "done"
	JobDropped = "dropped"
)

// AddJob writes a job down and gives it a number.
func (tx *Tx) AddJob(j Job) (Job, error) {
	if _, err := tx.One(`SELECT coalesce(max(num), 0) + 1 FROM job WHERE household = ?`, []any{j.Household}, &j.Num); err != nil {
		return j, err
	}
	var err error
	j.ID, err = tx.Insert(`INSERT INTO job (household, num, title, mins, near, whom, needs, since, due, pin, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		j.Household, j.Num, j.Title, int64(j.Length/time.Minute), j.Near, j.Whom, j.Needs, dateText(j.From), dateText(j.By), wallText(j.Pin), j.Made.Unix())
	return j, err
}

// SaveJob changes what a job needs and by when.
func (tx *Tx) SaveJob(j Job) error {
	_, err := tx.Exec(`UPDATE job SET mins = ?, near = ?, whom = ?, needs = ?, since = ?, due = ?, pin = ? WHERE id = ?`,
		int64(j.Length/time.Minute), j.Near, j.Whom, j.Needs, dateText(j.From), dateText(j.By), wallText(j.Pin), j.ID)
	return err
}

// CloseJob ends a job, done or dropped.
func (tx *Tx) CloseJob(id int64, outcome string, at time.Time) error {
	_, err := tx.Exec(`UPDATE job SET closed = ?, outcome = ? WHERE id = ?`, at.Unix(), outcome, id)
	return err
}

// LyeDone ends the open jobs of lye work that were laid on the day of an instant, and
// returns their titles: a batch that is poured is what they were for.
func (tx *Tx) LyeDone(household int64, at time.Time) ([]string, error) {
	open, err := tx.Jobs(household)
	if err != nil {
		return nil, err
	}
	laid, err := tx.LaidJobs(household)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, j := range open {
		for _, l := range laid {
			near := l.First.Sub(at).Abs() <= 12*time.Hour
			if !strings.Contains(" "+j.Needs+" ", " lye ") || l.Key != "job:"+strconv.Itoa(j.Num) || !near {
				continue
			}
			if err := tx.CloseJob(j.ID, JobDone, at); err != nil {
				return nil, err
			}
			out = append(out, j.Title)
			break
		}
	}
	return out, nil
}

// Jobs returns a household's open jobs in the order in which they were typed.
func (tx *Tx) Jobs(household int64) ([]Job, error) {
	return collect(tx, func(r scanner) (Job, error) {
		var j Job
		var mins, made int64
		var since, due, pin string
		err := r.Scan(&j.ID, &j.Household, &j.Num, &j.Title, &mins, &j.Near, &j.Whom, &j.Needs, &since, &due, &pin, &made, &j.Outcome)
		j.Length, j.Made = time.Duration(mins)*time.Minute, time.Unix(made, 0).UTC()
		j.From, j.By = dateOf(since), dateOf(due)
		if pin != "" && err == nil {
			j.Pin, err = time.Parse(wallLayout, pin)
		}
		return j, err
	}, `SELECT id, household, num, title, mins, near, whom, needs, since, due, pin, made, outcome FROM job WHERE household = ? AND closed IS NULL ORDER BY num`, household)
}

// JobWord is what was said of a job that a desk hands in by itself. Zero fields leave it
// as its desk has it.
type JobWord struct {
	Household int64
	Key       string // see desk.Job
	Length    time.Duration
	Whom      string    // see reminders.Whom
	From, By  time.Time // wall dates
	Pin       time.Time // a wall time at which it begins
	Dropped   bool      // it is not done
	Made      time.Time
}

// SaveJobWord keeps what was said of a job, in place of what was said of it before.
func (tx *Tx) SaveJobWord(w JobWord) error {
	_, err := tx.Exec(`INSERT INTO jobword (household, key, mins, whom, since, due, pin, dropped, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (household, key) DO UPDATE SET mins = excluded.mins, whom = excluded.whom, since = excluded.since, due = excluded.due, pin = excluded.pin, dropped = excluded.dropped, made = excluded.made`,
		w.Household, w.Key, int64(w.Length/time.Minute), w.Whom, dateText(w.From), dateText(w.By), wallText(w.Pin), w.Dropped, w.Made.Unix())
	return err
}

// DropJobWord forgets what was said of a job: it is over.
func (tx *Tx) DropJobWord(household int64, key string) error {
	_, err := tx.Exec(`DELETE FROM jobword WHERE household = ? AND key = ?`, household, key)
	return err
}

// JobWords returns what was said of a household's jobs.
func (tx *Tx) JobWords(household int64) ([]JobWord, error) {
	return collect(tx, func(r scanner) (JobWord, error) {
		w := JobWord{Household: household}
		var mins, made int64
		var since, due, pin string
		err := r.Scan(&w.Key, &mins, &w.Whom, &since, &due, &pin, &w.Dropped, &made)
		w.Length, w.Made = time.Duration(mins)*time.Minute, time.Unix(made, 0).UTC()
		w.From, w.By = dateOf(since), dateOf(due)
		if pin != "" && err == nil {
			w.Pin, err = time.Parse(wallLayout, pin)
		}
		return w, err
	}, `SELECT key, mins, whom, since, due, pin, dropped, made FROM jobword WHERE household = ? ORDER BY id`, household)
}

const wallLayout = "2006-01-02 15:04"

func wallText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(wallLayout)
}

func dateText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

func dateOf(s string) time.Time {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return time.Time{}
	}
	return t
}

// RunUp is a list of what is to be done so many days before and after a day.
type RunUp struct {
	ID    int64
	Name  string
	Steps []RunUpStep
}

// RunUpStep is one line of it.
type RunUpStep struct {
	Days int // after the day, negative before it
	Text string
}

// SaveRunUp keeps a run-up under its name, in place of one of that name.
func (tx *Tx) SaveRunUp(household int64, r RunUp) error {
	var lines []string
	for _, s := range r.Steps {
		lines = append(lines, strconv.Itoa(s.Days)+"\t"+s.Text)
	}
	_, err := tx.Exec(`INSERT INTO runup (household, name, steps) VALUES (?, ?, ?) ON CONFLICT (household, name) DO UPDATE SET steps = excluded.steps`,
		household, r.Name, strings.Join(lines, "\n"))
	return err
}

// DropRunUp forgets a run-up; the bells that it made stay.
func (tx *Tx) DropRunUp(id int64) error {
	_, err := tx.Exec(`DELETE FROM runup WHERE id = ?`, id)
	return err
}

// RunUps returns a household's run-ups by name.
func (tx *Tx) RunUps(household int64) ([]RunUp, error) {
	return collect(tx, func(r scanner) (RunUp, error) {
		var u RunUp
		var steps string
		if err := r.Scan(&u.ID, &u.Name, &steps); err != nil {
			return u, err
		}
		for line := range strings.SplitSeq(steps, "\n") {
			days, text, _ := strings.Cut(line, "\t")
			n, err := strconv.Atoi(days)
			if err != nil {
				return u, err
			}
			u.Steps = append(u.Steps, RunUpStep{n, text})
		}
		return u, nil
	}, `SELECT id, name, steps FROM runup WHERE household = ? ORDER BY name`, household)
}

// NextTime is what is to be otherwise when a thing comes round again.
type NextTime struct {
	ID     int64
	About  string // crop:leek, soap, recipe:Barley soup, day:butcher day
	Text   string
	Made   time.Time
	Person int64
}

// AddNextTime writes one down.
func (tx *Tx) AddNextTime(household int64, n NextTime) error {
	_, err := tx.Exec(`INSERT INTO nexttime (household, about, text, made, person) VALUES (?, ?, ?, ?, ?)`, household, n.About, n.Text, n.Made.Unix(), null(n.Person))
	return err
}

// DropNextTimes forgets what hangs on a thing.
func (tx *Tx) DropNextTimes(household int64, about string) error {
	_, err := tx.Exec(`DELETE FROM nexttime WHERE household = ? AND about = ?`, household, about)
	return err
}

// MoveNextTimes hangs what hangs on one thing on another: the thing has another name.
func (tx *Tx) MoveNextTimes(household int64, from, to string) error {
	_, err := tx.Exec(`UPDATE nexttime SET about = ? WHERE household = ? AND about = ?`, to, household, from)
	return err
}

// NextTimes returns what hangs on a thing, oldest first; on everything when about is
// empty.
func (tx *Tx) NextTimes(household int64, about string) ([]NextTime, error) {
	return collect(tx, func(r scanner) (NextTime, error) {
		var n NextTime
		var made int64
		err := r.Scan(&n.ID, &n.About, &n.Text, &made, &n.Person)
		n.Made = time.Unix(made, 0).UTC()
		return n, err
	}, `SELECT id, about, text, made, coalesce(person, 0) FROM nexttime WHERE household = ?1 AND (?2 = '' OR about = ?2) ORDER BY id`, household, about)
}

// Laid is where an open job was laid last.
type Laid struct {
	Key         string
	Title       string
	First, Past time.Time // instants; zero where it fits nowhere
	Who         []int64
	Moved       int       // on how many days it was not done and moved on
	Counted     time.Time // the last of those days, a wall date
	Why         string

	mover  int64 // the entry that moved it last, 0 for none, -1 when that was taken back
	before stand // where it stood before that
}

// SetLaid writes down where the open jobs of a household are laid, in place of what
// was: jobs that are not named are forgotten. What the entry that is being written moves
// is kept with where it stood before.
func (tx *Tx) SetLaid(household int64, all []Laid) error {
	stood, err := tx.LaidJobs(household)
	if err != nil {
		return err
	}
	if _, err := tx.Exec(`DELETE FROM laid WHERE household = ?`, household); err != nil {
		return err
	}
	for _, l := range all {
		for _, was := range stood {
			if was.Key == l.Key {
				l.mover, l.before = was.movedBy(tx.entry.ID, l)
			}
		}
		_, err := tx.Exec(`INSERT INTO laid (household, key, title, first, past, who, moved, counted, why, mover, from_first, from_past, from_who) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			household, l.Key, l.Title, unixOf(l.First), unixOf(l.Past), idsText(l.Who), l.Moved, dateText(l.Counted), l.Why, l.mover, l.before.first, l.before.past, l.before.who)
		if err != nil {
			return err
		}
	}
	return nil
}

// stand is where a job stood, as the table has it.
type stand struct {
	first, past int64
	who         string
}

// PutBack reports that the entry that moved the job has just been taken back.
func (l Laid) PutBack() bool { return l.mover < 0 }

func (l Laid) stand() stand { return stand{unixOf(l.First), unixOf(l.Past), idsText(l.Who)} }

// movedBy is the entry that moved a job last, and where it stood before, when an entry has
// it stand elsewhere now.
func (l Laid) movedBy(entry int64, now Laid) (mover int64, before stand) {
	switch {
	case l.PutBack():
		return 0, stand{}
	case l.stand() == now.stand() || entry != 0 && l.mover == entry:
		return l.mover, l.before
	case entry == 0:
		return 0, stand{}
	}
	return entry, l.stand()
}

// putBack has the jobs that an entry moved, and nothing since, stand where they stood
// before, unless that time is over.
func (tx *Tx) putBack(e Entry, now time.Time) error {
	_, err := tx.Exec(`UPDATE laid SET first = from_first, past = from_past, who = from_who, mover = -1 WHERE household = ? AND mover = ? AND from_first > ?`, e.Household, e.ID, now.Unix())
	return err
}

func idsText(ids []int64) string {
	var out []string
	for _, id := range ids {
		out = append(out, strconv.FormatInt(id, 10))
	}
	return strings.Join(out, ",")
}

// LaidJobs returns where the jobs of a household were laid last.
func (tx *Tx) LaidJobs(household int64) ([]Laid, error) {
	return collect(tx, func(r scanner) (Laid, error) {
		var l Laid
		var first, past int64
		var who, counted string
		if err := r.Scan(&l.Key, &l.Title, &first, &past, &who, &l.Moved, &counted, &l.Why, &l.mover, &l.before.first, &l.before.past, &l.before.who); err != nil {
			return l, err
		}
		l.Counted = dateOf(counted)
		if first != 0 {
			l.First, l.Past = time.Unix(first, 0).UTC(), time.Unix(past, 0).UTC()
		}
		for id := range strings.SplitSeq(who, ",") {
			if n, err := strconv.ParseInt(id, 10, 64); err == nil {
				l.Who = append(l.Who, n)
			}
		}
		return l, nil
	}, `SELECT key, title, first, past, who, moved, counted, why, mover, from_first, from_past, from_who FROM laid WHERE household = ? ORDER BY first, id`, household)
}

func unixOf(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.Unix()
}

// SetWatch sets when a household's day is next told or looked back on; zero for never.
func (tx *Tx) SetWatch(household int64, next time.Time) error {
	if next.IsZero() {
		_, err := tx.Exec(`DELETE FROM watch WHERE household = ?`, household)
		return err
	}
	_, err := tx.Exec(`INSERT INTO watch (household, next) VALUES (?, ?) ON CONFLICT (household) DO UPDATE SET next = excluded.next`, household, next.Unix())
	return err
}

// Watched reports that a household's day is told.
func (tx *Tx) Watched(household int64) (told bool, err error) {
	_, err = tx.One(`SELECT EXISTS (SELECT 1 FROM watch WHERE household = ?)`, []any{household}, &told)
	return told, err
}

// ForgetLaid lets a job stand as one that was never laid.
func (tx *Tx) ForgetLaid(household int64, key string) error {
	stood, err := tx.LaidJobs(household)
	if err != nil {
		return err
	}
	for _, was := range stood {
		if was.Key != key {
			continue
		}
		mover, before := was.movedBy(tx.entry.ID, Laid{})
		_, err := tx.Exec(`UPDATE laid SET first = 0, past = 0, who = '', moved = 0, counted = '', why = '', mover = ?, from_first = ?, from_past = ?, from_who = ? WHERE household = ? AND key = ?`,
			mover, before.first, before.past, before.who, household, key)
		return err
	}
	return nil
}

// NextWatch returns the household whose day is to be told or looked back on next, and
// when; ok is false for none.
func (tx *Tx) NextWatch() (household int64, next time.Time, ok bool, err error) {
	var unix sql.NullInt64
	ok, err = tx.One(`SELECT household, next FROM watch ORDER BY next, id LIMIT 1`, nil, &household, &unix)
	return household, instant(unix), ok, err
}
