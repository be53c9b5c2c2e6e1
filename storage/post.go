package storage

import (
	"database/sql"
	"encoding/json"
	"fmt"
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

// File is something to send along. Content is base64 in the outbox.
type File struct {
	Name    string `json:"name"`
	Type    string `json:"type"`
	Content []byte `json:"content"`
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
}

// Line is what came in from a transport.
type Line struct {
	Transport string
	Ext       string // the transport's own id; the same id is taken once
	Name      string
	At        time.Time
	Text      string
}

// Claim takes a line in once. It reports false when it was taken before.
func (tx *Tx) Claim(household int64, l Line) (int64, bool, error) {
	var id int64
	ok, err := tx.One(`INSERT INTO inbox (household, transport, ext, name, at, text) VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (household, transport, ext) DO NOTHING RETURNING id`,
		[]any{household, l.Transport, l.Ext, l.Name, l.At.Unix(), l.Text}, &id)
	return id, ok, err
}

// Taken returns when a line of a chat was taken in before.
func (tx *Tx) Taken(chat, transport, ext string) (at time.Time, taken bool, err error) {
	var unix int64
	taken, err = tx.One(`SELECT at FROM inbox WHERE household = (SELECT id FROM household WHERE chat = ?) AND transport = ? AND ext = ?`, []any{chat, transport, ext}, &unix)
	return time.Unix(unix, 0).UTC(), taken, err
}

// Post puts a message into the outbox. One with a key replaces an earlier one of
// that key that has not been sent.
func (tx *Tx) Post(household, inbox int64, m Message) error {
	body, err := json.Marshal(m)
	if err != nil {
		return fmt.Errorf("post: %w", err)
	}
	if m.Key != "" {
		res, err := tx.Exec(`UPDATE outbox SET body = ? WHERE household = ? AND key = ? AND key <> '' AND sent IS NULL`, string(body), household, m.Key)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n > 0 {
			return err
		}
	}
	_, err = tx.Exec(`INSERT INTO outbox (household, inbox, at, body, key) VALUES (?, ?, ?, ?, ?)`, household, null(inbox), m.At.Unix(), string(body), m.Key)
	return err
}

// Redraw returns the keys of boards whose rings have changed, and forgets them.
func (tx *Tx) Redraw(household int64) ([]string, error) {
	keys, err := collect(tx, func(r scanner) (string, error) {
		var key string
		return key, r.Scan(&key)
	}, `SELECT board FROM redraw WHERE household = ? ORDER BY id`, household)
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
	Message Message
	body    string // as it was read, to notice when it has been replaced since
}

// Which messages of the outbox are meant: all of them when zero, else those that
// answer one line, and with Rings those that answer none besides.
type Which struct {
	Line  int64
	Rings bool
}

const postedFrom = `SELECT o.id, o.body, coalesce(i.ext, '') FROM outbox o LEFT JOIN inbox i ON i.id = o.inbox`

func scanPosted(r scanner) (Posted, error) {
	var p Posted
	var body string
	if err := r.Scan(&p.ID, &body, &p.Ext); err != nil {
		return p, err
	}
	p.body = body
	return p, json.Unmarshal([]byte(body), &p.Message)
}

// Unsent returns what waits to be sent to a household, in order.
func (tx *Tx) Unsent(household int64, w Which, limit int) ([]Posted, error) {
	return collect(tx, scanPosted, postedFrom+` WHERE o.household = ?1 AND o.sent IS NULL AND (?2 = 0 AND NOT ?3 OR o.inbox = ?2 OR ?3 AND o.inbox IS NULL) ORDER BY o.id LIMIT ?4`,
		household, w.Line, w.Rings, limit)
}

// MarkSent notes that a message has been sent, or set aside for a reason. One
// that was replaced while it was on its way waits to be sent anew.
func (tx *Tx) MarkSent(p Posted, failed string, now time.Time) error {
	_, err := tx.Exec(`UPDATE outbox SET sent = ?, failed = ? WHERE id = ? AND (key = '' OR body = ?)`, now.Unix(), sql.NullString{String: failed, Valid: failed != ""}, p.ID, p.body)
	return err
}

// Chat is where a household is spoken to.
type Chat struct {
	Household int64
	Chat      string
}

// Waiting returns the chats for which something waits to be sent.
func (tx *Tx) Waiting() ([]Chat, error) {
	return collect(tx, func(r scanner) (Chat, error) {
		var c Chat
		return c, r.Scan(&c.Household, &c.Chat)
	}, `SELECT id, chat FROM household WHERE id IN (SELECT household FROM outbox WHERE sent IS NULL) ORDER BY id`)
}

// Ask remembers the options of a question put to somebody.
func (tx *Tx) Ask(household int64, name string, now time.Time, options []Button) error {
	if len(options) == 0 {
		_, err := tx.Exec(`DELETE FROM question WHERE household = ? AND name = ?`, household, name)
		return err
	}
	body, err := json.Marshal(options)
	if err != nil {
		return err
	}
	_, err = tx.Exec(`INSERT INTO question (household, name, at, options) VALUES (?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET at = excluded.at, options = excluded.options`, household, name, now.Unix(), string(body))
	return err
}

// Options returns the options of the last question put to somebody since a time.
func (tx *Tx) Options(household int64, name string, since time.Time) ([]Button, error) {
	var body string
	ok, err := tx.One(`SELECT options FROM question WHERE household = ? AND name = ? AND at >= ?`, []any{household, name, since.Unix()}, &body)
	if err != nil || !ok {
		return nil, err
	}
	var out []Button
	return out, json.Unmarshal([]byte(body), &out)
}
