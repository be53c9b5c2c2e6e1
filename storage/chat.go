package storage

import "time"

// TieAccount ties an account of a chat service to a person; an account is one
// person's at a time.
func (tx *Tx) TieAccount(household, person int64, account string) error {
	_, err := tx.Exec(`INSERT INTO account (household, person, account) VALUES (?, ?, ?)
		ON CONFLICT (household, account) DO UPDATE SET person = excluded.person, shared = 0`, household, person, account)
	return err
}

// Account is an account of a chat service that is known to a household.
type Account struct {
	Person  int64
	Private bool // has a chat of its own with the bot
	Shared  bool // a tablet that everyone uses: no one's by itself
}

// AccountOf returns what a household knows of an account.
func (tx *Tx) AccountOf(household int64, account string) (a Account, ok bool, err error) {
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

// HouseholdOfAccount returns the chat of the household in which an account is
// somebody, for a private chat with them.
func (tx *Tx) HouseholdOfAccount(account string) (chat string, ok bool, err error) {
	ok, err = tx.One(`SELECT chat FROM household WHERE id = (SELECT household FROM account WHERE account = ? ORDER BY id LIMIT 1)`, []any{account}, &chat)
	return chat, ok, err
}

// AddKey keeps the hash of a new house key.
func (tx *Tx) AddKey(hash string, now time.Time) error {
	_, err := tx.Exec(`INSERT INTO housekey (hash, made) VALUES (?, ?) ON CONFLICT (hash) DO NOTHING`, hash, now.Unix())
	return err
}

// UseKey uses a house key up, once.
func (tx *Tx) UseKey(hash string, now time.Time) (bool, error) {
	var id int64
	return tx.One(`UPDATE housekey SET used = ? WHERE hash = ? AND used IS NULL RETURNING id`, []any{now.Unix(), hash}, &id)
}

// SetChat makes a chat a household's.
func (tx *Tx) SetChat(household int64, chat string) error {
	_, err := tx.Exec(`UPDATE household SET chat = ? WHERE id = ?`, chat, household)
	return err
}

// MoveChat keeps a household whose chat has got another number.
func (tx *Tx) MoveChat(from, to string) error {
	_, err := tx.Exec(`UPDATE household SET chat = ? WHERE chat = ?`, to, from)
	return err
}

// Shown returns the service's number of the message that a key names.
func (tx *Tx) Shown(household int64, key string) (message int, ok bool, err error) {
	ok, err = tx.One(`SELECT message FROM shown WHERE household = ? AND key = ?`, []any{household, key}, &message)
	return message, ok, err
}

// SetShown keeps the service's number of a message.
func (tx *Tx) SetShown(household int64, key string, message int) error {
	_, err := tx.Exec(`INSERT INTO shown (household, key, message) VALUES (?, ?, ?) ON CONFLICT (household, key) DO UPDATE SET message = excluded.message`, household, key, message)
	return err
}

// ShownKey returns the key of a message by the service's number.
func (tx *Tx) ShownKey(household int64, message int) (key string, ok bool, err error) {
	ok, err = tx.One(`SELECT key FROM shown WHERE household = ? AND message = ?`, []any{household, message}, &key)
	return key, ok, err
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

// WroteEntry reports whether a line of a chat wrote into the day book.
func (tx *Tx) WroteEntry(household int64, transport, ext string) (bool, error) {
	var id int64
	return tx.One(`SELECT e.id FROM entry e JOIN inbox i ON i.id = e.inbox WHERE i.household = ? AND i.transport = ? AND i.ext = ? AND e.undone IS NULL LIMIT 1`,
		[]any{household, transport, ext}, &id)
}
