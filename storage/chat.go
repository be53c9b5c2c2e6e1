package storage

import (
	"errors"
	"time"
)

// TieAccount ties an account of a chat service to a person; an account is one
// person's at a time.
func (tx *Tx) TieAccount(household, person int64, account string) error {
	_, err := tx.Exec(`INSERT INTO account (household, person, account) VALUES (?, ?, ?)
		ON CONFLICT (household, account) DO UPDATE SET person = excluded.person, shared = 0`, household, person, account)
	return err
}

// Account is an account of a chat service that is known to a household.
type Account struct {
	Name    string // as the service has it
	Person  int64
	Private bool // has a chat of its own with the bot
	Shared  bool // a tablet that everyone uses: no one's by itself
}

// AccountOf returns what a household knows of an account.
func (tx *Tx) AccountOf(household int64, account string) (a Account, ok bool, err error) {
	a.Name = account
	ok, err = tx.One(`SELECT person, private, shared FROM account WHERE household = ? AND account = ?`, []any{household, account}, &a.Person, &a.Private, &a.Shared)
	return a, ok, err
}

// ShareAccount marks an account as a tablet that everyone uses.
func (tx *Tx) ShareAccount(household int64, account string) error {
	_, err := tx.Exec(`UPDATE account SET shared = 1 WHERE household = ? AND account = ?`, household, account)
	return err
}

// SetPrivate notes that an account has a chat of its own with the bot.
func (tx *Tx) SetPrivate(account string) error {
	_, err := tx.Exec(`UPDATE account SET private = 1 WHERE account = ? AND NOT private`, account)
	return err
}

// PrivateOf returns the account through which a person is told alone, empty for
// none.
func (tx *Tx) PrivateOf(household int64, name string) (account string, err error) {
	_, err = tx.One(`SELECT a.account FROM account a JOIN person p ON p.id = a.person WHERE a.household = ? AND p.name = ? AND a.private AND NOT a.shared AND NOT p.gone
		ORDER BY a.id LIMIT 1`, []any{household, name}, &account)
	return account, err
}

// Alone reports that the answer to a line is read by nobody else: it was typed in a
// person's own chat, or the household has no chat that accounts are tied to.
func (tx *Tx) Alone(household, inbox int64) (alone bool, err error) {
	_, err = tx.One(`SELECT coalesce((SELECT chat <> '' FROM inbox WHERE id = ?), 0) OR NOT EXISTS (SELECT 1 FROM account WHERE household = ?)`, []any{inbox, household}, &alone)
	return alone, err
}

// HouseholdsOf returns the households in which an account is somebody still, or a
// tablet that everyone uses.
func (tx *Tx) HouseholdsOf(account string) ([]Chat, error) {
	return collect(tx, func(r scanner) (Chat, error) {
		var c Chat
		return c, r.Scan(&c.Household, &c.Chat)
	}, `SELECT h.id, h.chat FROM household h WHERE h.id IN (
		SELECT a.household FROM account a JOIN person p ON p.id = a.person WHERE a.account = ? AND (a.shared OR NOT p.gone)) ORDER BY h.id`, account)
}

// KeeperAccounts returns the accounts through which keepers speak.
func (tx *Tx) KeeperAccounts(household int64) ([]Account, error) {
	return collect(tx, func(r scanner) (Account, error) {
		var a Account
		return a, r.Scan(&a.Name, &a.Person, &a.Private, &a.Shared)
	}, `SELECT a.account, a.person, a.private, a.shared FROM account a JOIN person p ON p.id = a.person
		WHERE a.household = ? AND NOT a.shared AND p.role = 'keeper' AND NOT p.gone ORDER BY a.id`, household)
}

// AddKey keeps the hash of a new house key. Own is one for the household that has
// lived in a terminal so far; any other founds a household of its own.
func (tx *Tx) AddKey(hash string, own bool, now time.Time) error {
	_, err := tx.Exec(`INSERT INTO housekey (hash, own, made) VALUES (?, ?, ?) ON CONFLICT (hash) DO UPDATE SET own = excluded.own`, hash, own, now.Unix())
	return err
}

// UseKey uses a house key up, once.
func (tx *Tx) UseKey(hash string, now time.Time) (own, ok bool, err error) {
	ok, err = tx.One(`UPDATE housekey SET used = ? WHERE hash = ? AND used IS NULL RETURNING own`, []any{now.Unix(), hash}, &own)
	return own, ok, err
}

// SetChat makes a chat a household's.
func (tx *Tx) SetChat(household int64, chat string) error {
	_, err := tx.Exec(`UPDATE household SET chat = ? WHERE id = ?`, chat, household)
	return err
}

// ErrTaken is returned for a chat that is another household's already.
var ErrTaken = errors.New("the chat is another household's")

// MoveChat keeps a household whose chat has got another number. The numbers of
// messages in the old chat mean nothing in the new one.
func (tx *Tx) MoveChat(from, to string) error {
	id, is, err := tx.HouseholdNumber(from)
	if err != nil || !is || from == to {
		return err
	}
	there, taken, err := tx.HouseholdNumber(to)
	if err != nil || taken && there == id { // moved already
		return err
	}
	if taken {
		return ErrTaken
	}
	if _, err := tx.Exec(`INSERT INTO formerly (household, chat) VALUES (?, ?)`, id, from); err != nil {
		return err
	}
	if _, err := tx.Exec(`DELETE FROM shown WHERE household = ? AND chat = ?`, id, from); err != nil {
		return err
	}
	return tx.SetChat(id, to)
}

// Shown returns the service's number of the message of a chat that a key names;
// of several the newest.
func (tx *Tx) Shown(household int64, chat, key string) (message int, ok bool, err error) {
	ok, err = tx.One(`SELECT message FROM shown WHERE household = ? AND chat = ? AND key = ? ORDER BY id DESC LIMIT 1`, []any{household, chat, key}, &message)
	return message, ok, err
}

// SetShown keeps what a message of a chat shows, by the service's number.
func (tx *Tx) SetShown(household int64, chat, key string, message int) error {
	_, err := tx.Exec(`INSERT INTO shown (household, chat, key, message) VALUES (?, ?, ?, ?)
		ON CONFLICT (household, chat, message) DO UPDATE SET key = excluded.key`, household, chat, key, message)
	return err
}

// ShownKey returns the key of a message of a chat by the service's number.
func (tx *Tx) ShownKey(household int64, chat string, message int) (key string, ok bool, err error) {
	ok, err = tx.One(`SELECT key FROM shown WHERE household = ? AND chat = ? AND message = ?`, []any{household, chat, message}, &key)
	return key, ok, err
}

// ShownBy returns the household that a message of a private chat came from.
func (tx *Tx) ShownBy(chat string, message int) (household int64, ok bool, err error) {
	ok, err = tx.One(`SELECT household FROM shown WHERE chat = ? AND message = ? ORDER BY id DESC LIMIT 1`, []any{chat, message}, &household)
	return household, ok, err
}

// UsedUp reports whether a press of a button has acted.
func (tx *Tx) UsedUp(household int64, button string) (bool, error) {
	var id int64
	return tx.One(`SELECT id FROM inbox WHERE household = ? AND button = ?`, []any{household, button}, &id)
}

// UseUp notes that the press taken in as a line acted.
func (tx *Tx) UseUp(inbox int64, button string) error {
	_, err := tx.Exec(`UPDATE inbox SET button = ? WHERE id = ?`, button, inbox)
	return err
}

// Document is a line whose file has not been fetched yet.
type Document struct {
	ID        int64
	Household int64
	At        time.Time
	File      string // the service's name of it
	Line      string // JSON
}

// AddDocument keeps a line until its file has been fetched.
func (tx *Tx) AddDocument(household int64, ext, file, line string, now time.Time) error {
	_, err := tx.Exec(`INSERT INTO document (household, ext, at, file, line) VALUES (?, ?, ?, ?, ?) ON CONFLICT (household, ext) DO NOTHING`, household, ext, now.Unix(), file, line)
	return err
}

// Documents returns the lines whose file is to be fetched, oldest first.
func (tx *Tx) Documents() ([]Document, error) {
	return collect(tx, func(r scanner) (Document, error) {
		var d Document
		var at int64
		err := r.Scan(&d.ID, &d.Household, &at, &d.File, &d.Line)
		d.At = time.Unix(at, 0).UTC()
		return d, err
	}, `SELECT id, household, at, file, line FROM document ORDER BY id`)
}

// DropDocument forgets a line that has been dealt with.
func (tx *Tx) DropDocument(id int64) error {
	_, err := tx.Exec(`DELETE FROM document WHERE id = ?`, id)
	return err
}

// Press keeps a button's line and returns its number.
func (tx *Tx) Press(household int64, say string) (int64, error) {
	var id int64
	_, err := tx.One(`INSERT INTO press (household, say) VALUES (?, ?) ON CONFLICT (household, say) DO UPDATE SET say = excluded.say RETURNING id`, []any{household, say}, &id)
	return id, err
}

// Pressed returns the line of a button by its number.
func (tx *Tx) Pressed(household, id int64) (say string, ok bool, err error) {
	ok, err = tx.One(`SELECT say FROM press WHERE household = ? AND id = ?`, []any{household, id}, &say)
	return say, ok, err
}

// Stranger notes a chat that is nobody's household, and reports the first time.
func (tx *Tx) Stranger(chat string, now time.Time) (first bool, err error) {
	var id int64
	return tx.One(`INSERT INTO stranger (chat, at) VALUES (?, ?) ON CONFLICT (chat) DO NOTHING RETURNING id`, []any{chat, now.Unix()}, &id)
}

// Replies returns what a line was answered with.
func (tx *Tx) Replies(inbox int64) ([]Posted, error) {
	return collect(tx, scanPosted, postedFrom+` WHERE o.inbox = ? ORDER BY o.id`, inbox)
}

// WroteEntry reports whether a line of a chat, under its own id or under one that
// begins with a prefix, wrote into the day book.
func (tx *Tx) WroteEntry(household int64, transport, ext, prefix string) (bool, error) {
	var id int64
	return tx.One(`SELECT e.id FROM entry e JOIN inbox i ON i.id = e.inbox
		WHERE i.household = ?1 AND i.transport = ?2 AND (i.ext = ?3 OR i.ext >= ?4 AND i.ext < ?4 || char(1114111)) AND e.undone IS NULL LIMIT 1`,
		[]any{household, transport, ext, prefix}, &id)
}
