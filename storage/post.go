package storage

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Message kinds.
const (
	KindReply  = "reply"  // answers a line; To is who typed it
	KindRing   = "ring"   // a bell, for one person
	KindNotice = "notice" // told to the whole household
	KindBoard  = "board"  // what a group shows instead of a ring for each person: one message, edited in place
)

// Message statuses.
const (
	OK      = "ok"
	Asked   = "asked"
	Refused = "refused"
)

// Button is a typed line in disguise.
type Button struct {
	Label string `json:"label"`
	Say   string `json:"say"`
}

// File is something to send along. Content is base64 in the outbox. A picture that
// is drawn when it is sent has the order for it in Drawing, and no content; a backup is
// read when it is sent from where Copy says.
type File struct {
	Name    string `json:"name"`
	Type    string `json:"type"`
	Content []byte `json:"content,omitempty"`
	Drawing []byte `json:"drawing,omitempty"`
	Copy    string `json:"copy,omitempty"`
}

// Message is what is said to people, as data: each transport renders it.
type Message struct {
	At       time.Time `json:"at"`
	Kind     string    `json:"kind"`
	To       string    `json:"to,omitempty"`
	Head     string    `json:"head"`               // the answer
	Lines    []string  `json:"lines,omitempty"`    // what a person weighs out or acts by
	Assumed  []string  `json:"assumed,omitempty"`  // what was taken for granted
	Cautions []string  `json:"cautions,omitempty"` // where the work can hurt
	Buttons  []Button  `json:"buttons,omitempty"`
	Files    []File    `json:"files,omitempty"`
	Status   string    `json:"status,omitempty"`
	Quiet    bool      `json:"quiet,omitempty"` // a chat may give it as a reaction
	Key      string    `json:"key,omitempty"`   // of a board: the same key is the same message of the chat
	Rings    []int     `json:"rings,omitempty"` // numbers of the rings that a message to one person tells
	Pends    bool      `json:"-"`               // a question without whose answer what was typed is not kept
	MayHome  []string  `json:"-"`               // of a question whether children are at home today: their names
	Begun    string    `json:"-"`               // of a question for days or hours: the line that an answer completes, at " … " or at its end
}

// Question is the last question put to somebody.
type Question struct {
	Options []Button `json:"options"`
	Pends   string   `json:"pends,omitempty"` // the question, when what was typed is not kept without its answer
	Asked   string   `json:"asked,omitempty"` // the question
	Begun   string   `json:"begun,omitempty"` // the line that days or hours complete
	Home    []string `json:"home,omitempty"`  // of OfHome: the children who may be at home
}

// OfHome is what the question is kept by, beside those put to somebody, whether children are
// at home: it concerns the whole household and is open until it is answered or the day is over.
const OfHome = "?home"

// Line is what came in from a transport.
type Line struct {
	Transport string
	Ext       string // the transport's own id; the same id is taken once
	Chat      string // where it was typed and is answered, empty for the household's own chat
	Name      string
	At        time.Time
	Text      string
}

// Claim takes a line in once. It reports false when it was taken before.
func (tx *Tx) Claim(household int64, l Line) (int64, bool, error) {
	res, err := tx.Exec(`INSERT INTO inbox (household, transport, ext, chat, name, at, text) VALUES (?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (household, transport, ext) DO NOTHING`,
		household, l.Transport, l.Ext, l.Chat, l.Name, l.At.Unix(), l.Text)
	if err != nil {
		return 0, false, err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return 0, false, err
	}
	id, err := res.LastInsertId()
	tx.line = claimed{id, l.Chat, l.Name}
	return id, true, err
}

// claimed is a line of the inbox, zero for none: whose it is and where its answer goes.
type claimed struct {
	id         int64
	chat, name string
}

// lineOf returns a line of the inbox: that of this transaction, or one from before.
func (tx *Tx) lineOf(inbox int64) (claimed, error) {
	if tx.line.id == inbox {
		return tx.line, nil
	}
	var l claimed
	_, err := tx.One(`SELECT id, chat, name FROM inbox WHERE id = ?`, []any{inbox}, &l.id, &l.chat, &l.name)
	return l, err
}

// Taken returns when a line of a chat was taken in before.
func (tx *Tx) Taken(chat, transport, ext string) (at time.Time, taken bool, err error) {
	var unix int64
	taken, err = tx.One(`SELECT at FROM inbox WHERE household IN (SELECT id FROM household WHERE chat = ? UNION SELECT household FROM formerly WHERE chat = ?) AND transport = ? AND ext = ?`, []any{chat, chat, transport, ext}, &unix)
	return time.Unix(unix, 0).UTC(), taken, err
}

// Rank says what goes first in a chat when messages wait: what rings, then what
// answers the household's people, then what answers guests.
type Rank int

// The ranks.
const (
	RankRing Rank = iota
	RankReply
	RankGuest
)

// Post puts a message into the outbox. One with a key replaces an earlier one of
// that key of which nothing has been sent. A guest who has too many answers waiting
// already gets no more: a guest's lines change nothing, and can be typed again.
func (tx *Tx) Post(household, inbox int64, m Message) error {
	body, err := json.Marshal(m)
	if err != nil {
		return fmt.Errorf("post: %w", err)
	}
	if m.Key != "" {
		res, err := tx.Exec(`UPDATE outbox SET body = ? WHERE household = ? AND key = ? AND key <> '' AND sent IS NULL AND step = 0`, string(body), household, m.Key)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n > 0 {
			return err
		}
	}
	chat, rank, err := tx.address(household, inbox, m)
	if err != nil {
		return err
	}
	if rank == RankGuest {
		if many, err := tx.crowded(household, inbox); err != nil || many {
			return err
		}
	}
	_, err = tx.Exec(`INSERT INTO outbox (household, inbox, at, body, key, chat, rank) VALUES (?, ?, ?, ?, ?, ?, ?)`, household, null(inbox), m.At.Unix(), string(body), m.Key, chat, rank)
	return err
}

// address finds out to which chat a message goes, empty for the household's own,
// and what goes before it there. An answer goes where its line was typed, a ring
// to the chat that its person has alone, and the rest to everybody.
func (tx *Tx) address(household, inbox int64, m Message) (chat string, rank Rank, err error) {
	switch m.Kind {
	case KindReply:
		l, err := tx.lineOf(inbox)
		if err != nil {
			return "", 0, err
		}
		people, err := tx.People(household)
		if l.id != 0 && !slices.ContainsFunc(people, func(p Person) bool { return strings.EqualFold(p.Name, l.name) && !p.Gone }) {
			return l.chat, RankGuest, err
		}
		return l.chat, RankReply, err
	case KindRing:
		chat, err = tx.PrivateOf(household, m.To)
	}
	return chat, RankRing, err
}

// guestAnswers is how many answers may wait for one guest.
const guestAnswers = 10

func (tx *Tx) crowded(household, inbox int64) (many bool, err error) {
	_, err = tx.One(`SELECT count(*) >= ? FROM outbox o JOIN inbox i ON i.id = o.inbox
		WHERE o.household = ? AND o.sent IS NULL AND o.rank = ? AND i.name = (SELECT name FROM inbox WHERE id = ?)`,
		[]any{guestAnswers, household, RankGuest, inbox}, &many)
	return many, err
}

// redrawOf is what the boards to draw anew are kept by.
type redrawOf int64

// Redraw returns the keys of boards whose rings have changed, and forgets them.
func (tx *Tx) Redraw(household int64) ([]string, error) {
	keys, err := Kept(tx, redrawOf(household), func() ([]string, error) {
		return collect(tx, func(r scanner) (string, error) {
			var key string
			return key, r.Scan(&key)
		}, `SELECT board FROM redraw WHERE household = ? ORDER BY id`, household)
	})
	if err != nil || len(keys) == 0 {
		return nil, err
	}
	_, err = tx.Exec(`DELETE FROM redraw WHERE household = ?`, household)
	return keys, err
}

// Posted is a message that waits in the outbox.
type Posted struct {
	ID      int64
	Ext     string // the transport's own id of the line that it answers, empty for none
	Rank    Rank
	Step    int // how much of it has been handed over
	Message Message
	body    string // as it was read, to notice when it has been replaced since
}

// Which messages of the outbox are meant: all of them when zero, else those that
// answer one line, and with Rings those that answer none besides.
type Which struct {
	Line  int64
	Rings bool
}

const postedFrom = `SELECT o.id, o.body, o.rank, o.step, coalesce(i.ext, '') FROM outbox o LEFT JOIN inbox i ON i.id = o.inbox`

func scanPosted(r scanner) (Posted, error) {
	var p Posted
	if err := r.Scan(&p.ID, &p.body, &p.Rank, &p.Step, &p.Ext); err != nil {
		return p, err
	}
	return p, json.Unmarshal([]byte(p.body), &p.Message)
}

// AnsweredBefore returns the last answer in a household's chat before a line, from lines since
// an instant, with the line that it answered; false for none.
func (tx *Tx) AnsweredBefore(household, inbox int64, since time.Time) (Message, string, bool, error) {
	var body, line string
	ok, err := tx.One(`SELECT o.body, i.text FROM outbox o JOIN inbox i ON i.id = o.inbox WHERE o.household = ?1 AND o.inbox < ?2 AND o.at >= ?3
		AND json_extract(o.body, '$.kind') = ?4 ORDER BY o.id DESC LIMIT 1`, []any{household, inbox, since.Unix(), KindReply}, &body, &line)
	if err != nil || !ok {
		return Message{}, "", false, err
	}
	var m Message
	err = json.Unmarshal([]byte(body), &m)
	return m, line, err == nil, err
}

// Chat is where messages go: a household's own chat, or with Alone that of one of
// its people.
type Chat struct {
	Household int64
	Chat      string // of the household
	Alone     string // of a person, empty for the household's own
}

// Waiting returns the chats for which something waits to be sent.
func (tx *Tx) Waiting() ([]Chat, error) {
	return collect(tx, func(r scanner) (Chat, error) {
		var c Chat
		return c, r.Scan(&c.Household, &c.Chat, &c.Alone)
	}, `SELECT DISTINCT h.id, h.chat, o.chat FROM outbox o JOIN household h ON h.id = o.household WHERE o.sent IS NULL ORDER BY h.id, o.chat`)
}

// Unsent returns what waits to be sent to a household, in the order in which it
// was posted.
func (tx *Tx) Unsent(household int64, w Which, limit int) ([]Posted, error) {
	return collect(tx, scanPosted, postedFrom+` WHERE o.household = ?1 AND o.sent IS NULL AND (?2 = 0 AND NOT ?3 OR o.inbox = ?2 OR ?3 AND o.inbox IS NULL) ORDER BY o.id LIMIT ?4`,
		household, w.Line, w.Rings, limit)
}

// UnsentTo returns what waits to be sent to one chat, what goes first there first.
func (tx *Tx) UnsentTo(c Chat, limit int) ([]Posted, error) {
	return collect(tx, scanPosted, postedFrom+` WHERE o.household = ? AND o.chat = ? AND o.sent IS NULL ORDER BY o.rank, o.id LIMIT ?`, c.Household, c.Alone, limit)
}

// MarkSent notes that a message has been sent, or set aside for a reason. One
// that was replaced while it was on its way waits to be sent anew.
func (tx *Tx) MarkSent(p Posted, failed string, now time.Time) error {
	_, err := tx.Exec(`UPDATE outbox SET sent = ?, failed = ? WHERE id = ? AND (key = '' OR body = ?)`, now.Unix(), sql.NullString{String: failed, Valid: failed != ""}, p.ID, p.body)
	return err
}

// MarkStep notes that one step of a message has been taken and another follows.
func (tx *Tx) MarkStep(p Posted) error {
	_, err := tx.Exec(`UPDATE outbox SET step = step + 1 WHERE id = ? AND (key = '' OR body = ?)`, p.ID, p.body)
	return err
}

// question is the last one put to somebody, zero for none.
type question struct {
	asked time.Time
	Question
}

// none reports that nothing is asked.
func (q Question) none() bool { return len(q.Options) == 0 && q.Begun == "" }

// questionTo is what a question is kept by.
type questionTo struct {
	household int64
	name      string
}

// question is the last one put to somebody. One that an earlier version wrote, options
// alone, is none: it is minutes old at most.
func (tx *Tx) question(household int64, name string) (question, error) {
	return Kept(tx, questionTo{household, name}, func() (q question, err error) {
		var at int64
		var body string
		ok, err := tx.One(`SELECT at, options FROM question WHERE household = ? AND name = ?`, []any{household, name}, &at, &body)
		if err != nil || !ok || !strings.HasPrefix(body, "{") {
			return q, err
		}
		q.asked = time.Unix(at, 0)
		return q, json.Unmarshal([]byte(body), &q.Question)
	})
}

// Ask remembers a question put to somebody, in place of the one before; none to forget it.
func (tx *Tx) Ask(household int64, name string, now time.Time, q Question) error {
	if q.none() {
		was, err := tx.question(household, name)
		if err != nil || was.none() {
			return err
		}
		_, err = tx.Exec(`DELETE FROM question WHERE household = ? AND name = ?`, household, name)
		return err
	}
	body, err := json.Marshal(q)
	if err != nil {
		return err
	}
	_, err = tx.Exec(`INSERT INTO question (household, name, at, options) VALUES (?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET at = excluded.at, options = excluded.options`, household, name, now.Unix(), string(body))
	return err
}

// Asked returns the last question put to somebody since a time.
func (tx *Tx) Asked(household int64, name string, since time.Time) (Question, error) {
	q, err := tx.question(household, name)
	if err != nil || q.asked.Unix() < since.Unix() {
		return Question{}, err
	}
	return q.Question, nil
}
