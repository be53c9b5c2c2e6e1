package storage

import "time"

// ToGet is something to be got.
type ToGet struct {
	ID      int64
	Item    string // without an amount
	Wanted  string // as it is shown
	Section string // of a shop
	Whence  string // for which dishes
	Shop    string // where it is got: "feed store"; empty for wherever
	Why     string // what put it on the list, when no person did: "the larder runs low"
	Person  int64  // who put it there, 0 for none
}

const toGetColumns = `id, item, wanted, section, whence, shop, why, coalesce(person, 0)`

func scanToGet(r scanner) (ToGet, error) {
	var g ToGet
	return g, r.Scan(&g.ID, &g.Item, &g.Wanted, &g.Section, &g.Whence, &g.Shop, &g.Why, &g.Person)
}

// AddToGet puts something on the list.
func (tx *Tx) AddToGet(household, person int64, g ToGet, now time.Time) error {
	_, err := tx.Exec(`INSERT INTO toget (household, item, wanted, section, whence, shop, why, added, person) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		household, g.Item, g.Wanted, g.Section, g.Whence, g.Shop, g.Why, now.Unix(), null(person))
	return err
}

// PutOnList puts something on the list for a desk that sees it run out, with why, unless
// it is there already: what is low is low until it is got. It reports whether it did.
func (tx *Tx) PutOnList(household int64, g ToGet, now time.Time) (put bool, err error) {
	var there bool
	if _, err := tx.One(`SELECT count(*) > 0 FROM toget WHERE household = ? AND item = ? AND got IS NULL`, []any{household, g.Item}, &there); err != nil || there {
		return false, err
	}
	return true, tx.AddToGet(household, 0, g, now)
}

// Got ticks something off the list.
func (tx *Tx) Got(id int64, now time.Time) error {
	_, err := tx.Exec(`UPDATE toget SET got = ? WHERE id = ?`, now.Unix(), id)
	return err
}

// TakeOff takes something off the list that nobody got: another entry takes its place.
func (tx *Tx) TakeOff(id int64, now time.Time) error {
	_, err := tx.Exec(`UPDATE toget SET got = ?, whence = '' WHERE id = ?`, now.Unix(), id)
	return err
}

// GotSince returns what a shop put on the list and somebody got since a time.
func (tx *Tx) GotSince(household int64, since time.Time) ([]ToGet, error) {
	return collect(tx, scanToGet, `SELECT `+toGetColumns+` FROM toget WHERE household = ? AND got >= ? AND whence <> '' ORDER BY id`, household, since.Unix())
}

// List returns what is still to be got: what is got wherever first, then by shop; by
// section and in the order added.
func (tx *Tx) List(household int64) ([]ToGet, error) {
	return collect(tx, scanToGet, `SELECT `+toGetColumns+` FROM toget WHERE household = ? AND got IS NULL ORDER BY shop, section, id`, household)
}
