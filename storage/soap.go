package storage

import (
	"database/sql"
	"strings"
	"time"
)

// SaveCard keeps a person's last weigh-out card, as JSON of the soap desk.
func (tx *Tx) SaveCard(household int64, name string, at time.Time, recipe string) error {
	_, err := tx.Exec(`INSERT INTO card (household, name, at, recipe) VALUES (?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET at = excluded.at, recipe = excluded.recipe`, household, name, at.Unix(), recipe)
	return err
}

// Card is a recipe that was worked out and can be poured from.
type Card struct {
	Recipe string
	By     string // who asked for it
	At     time.Time
}

// LastCard returns a person's last card, or else the household's newest one,
// made since a time. One that was put aside, or that the batches standing were
// poured from, is none.
func (tx *Tx) LastCard(household int64, name string, since time.Time) (c Card, ok bool, err error) {
	var at int64
	ok, err = tx.One(`SELECT recipe, name, at FROM card WHERE household = ?1 AND at >= ?2
		AND (recipe = '' OR coalesce(json_extract(recipe, '$.batch'), 0) NOT IN (SELECT num FROM batch WHERE household = ?1))
		ORDER BY (name = ?3) DESC, at DESC LIMIT 1`,
		[]any{household, since.Unix(), name}, &c.Recipe, &c.By, &at)
	c.At = time.Unix(at, 0).UTC()
	return c, ok && c.Recipe != "", err
}

// PutCardAside lets a person pour from no card until there is a new one.
func (tx *Tx) PutCardAside(household int64, name string, at time.Time) error {
	return tx.SaveCard(household, name, at, "")
}

// UseCards notes on the household's cards which batch they were poured as: a card
// is poured from once, so that saying it twice is not two batches. Should the batch
// be taken back, the cards are there again.
func (tx *Tx) UseCards(household int64, batch int) error {
	_, err := tx.Exec(`UPDATE card SET recipe = json_set(recipe, '$.batch', ?) WHERE household = ? AND recipe <> ''`, batch, household)
	return err
}

// Batch is one pour of soap.
type Batch struct {
	ID        int64
	Household int64
	Num       int
	Name      string
	Recipe    string // JSON of the soap desk
	Poured    time.Time
	PouredBy  int64
	Bars      int // cut into so many, 0 when not cut or not counted
}

func scanBatch(r scanner) (Batch, error) {
	var b Batch
	var poured int64
	err := r.Scan(&b.ID, &b.Household, &b.Num, &b.Name, &b.Recipe, &poured, &b.PouredBy, &b.Bars)
	b.Poured = time.Unix(poured, 0).UTC()
	return b, err
}

const batchColumns = `id, household, num, name, recipe, poured, coalesce(poured_by, 0), bars`

// AddBatch writes a batch and numbers it.
func (tx *Tx) AddBatch(b Batch) (Batch, error) {
	_, err := tx.One(`INSERT INTO batch (household, num, name, recipe, poured, poured_by)
		VALUES (?, (SELECT coalesce(max(num), 0) + 1 FROM batch WHERE household = ?), ?, ?, ?, ?) RETURNING id, num`,
		[]any{b.Household, b.Household, b.Name, b.Recipe, b.Poured.Unix(), null(b.PouredBy)}, &b.ID, &b.Num)
	return b, err
}

// SaveBatch writes name, pouring time and bars back.
func (tx *Tx) SaveBatch(b Batch) error {
	_, err := tx.Exec(`UPDATE batch SET name = ?, poured = ?, bars = ? WHERE id = ?`, b.Name, b.Poured.Unix(), b.Bars, b.ID)
	return err
}

// Outgo is bars that left the rack.
type Outgo struct {
	At   time.Time
	Bars int
	How  string // gave, sold, used
	Whom string
}

// AddOutgo takes bars off the rack.
func (tx *Tx) AddOutgo(household, batch int64, o Outgo) error {
	_, err := tx.Exec(`INSERT INTO outgo (household, batch, at, bars, how, whom) VALUES (?, ?, ?, ?, ?, ?)`, household, batch, o.At.Unix(), o.Bars, o.How, o.Whom)
	return err
}

// Outgoes returns the bars of a batch that left, in order of time.
func (tx *Tx) Outgoes(batch int64) ([]Outgo, error) {
	return collect(tx, scanOutgo, `SELECT at, bars, how, whom FROM outgo WHERE batch = ? ORDER BY at, id`, batch)
}

func scanOutgo(r scanner) (Outgo, error) {
	var o Outgo
	var at int64
	err := r.Scan(&at, &o.Bars, &o.How, &o.Whom)
	o.At = time.Unix(at, 0).UTC()
	return o, err
}

// OwnFat is the household's own saponification value of a fat, in mg potassium
// hydroxide per gram.
type OwnFat struct {
	Name               string
	Low, Typical, High float64
}

// SetOwnFat writes a figure down; one with no typical value is forgotten.
func (tx *Tx) SetOwnFat(household int64, f OwnFat) error {
	if f.Typical == 0 {
		_, err := tx.Exec(`DELETE FROM ownfat WHERE household = ? AND name = ?`, household, f.Name)
		return err
	}
	_, err := tx.Exec(`INSERT INTO ownfat (household, name, low, typical, high) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET low = excluded.low, typical = excluded.typical, high = excluded.high`, household, f.Name, f.Low, f.Typical, f.High)
	return err
}

// OwnFats returns the household's own figures.
func (tx *Tx) OwnFats(household int64) ([]OwnFat, error) {
	return collect(tx, func(r scanner) (OwnFat, error) {
		var f OwnFat
		return f, r.Scan(&f.Name, &f.Low, &f.Typical, &f.High)
	}, `SELECT name, low, typical, high FROM ownfat WHERE household = ? ORDER BY name`, household)
}

// Pouring is a pour under way, from weighing to the mould.
type Pouring struct {
	Recipe string // JSON of the soap desk
	Person int64
	Room   string
	Began  time.Time
	Done   []string  // what is ticked
	Opened time.Time // when lye went into the water, zero before
}

// SavePouring writes the household's pour under way.
func (tx *Tx) SavePouring(household int64, p Pouring) error {
	opened := sql.NullInt64{Int64: p.Opened.Unix(), Valid: !p.Opened.IsZero()}
	_, err := tx.Exec(`INSERT INTO pouring (household, person, recipe, room, began, done, opened) VALUES (?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (household) DO UPDATE SET person = excluded.person, recipe = excluded.recipe, room = excluded.room, began = excluded.began, done = excluded.done, opened = excluded.opened`,
		household, null(p.Person), p.Recipe, p.Room, p.Began.Unix(), strings.Join(p.Done, "\n"), opened)
	return err
}

// PouringNow returns the household's pour under way.
func (tx *Tx) PouringNow(household int64) (Pouring, bool, error) {
	var p Pouring
	var began int64
	var opened sql.NullInt64
	var done string
	ok, err := tx.One(`SELECT recipe, coalesce(person, 0), room, began, done, opened FROM pouring WHERE household = ?`, []any{household}, &p.Recipe, &p.Person, &p.Room, &began, &done, &opened)
	p.Began = time.Unix(began, 0).UTC()
	if opened.Valid {
		p.Opened = time.Unix(opened.Int64, 0).UTC()
	}
	if done != "" {
		p.Done = strings.Split(done, "\n")
	}
	return p, ok, err
}

// EndPouring forgets the pour under way.
func (tx *Tx) EndPouring(household int64) error {
	_, err := tx.Exec(`DELETE FROM pouring WHERE household = ?`, household)
	return err
}

// Batches returns a household's batches, oldest first.
func (tx *Tx) Batches(household int64) ([]Batch, error) {
	return collect(tx, scanBatch, `SELECT `+batchColumns+` FROM batch WHERE household = ? ORDER BY num`, household)
}

// Weighing is a mass noted of a batch on the rack.
type Weighing struct {
	At    time.Time
	Grams float64
}

// AddWeighing notes a mass.
func (tx *Tx) AddWeighing(household, batch int64, w Weighing) error {
	_, err := tx.Exec(`INSERT INTO weighing (household, batch, at, grams) VALUES (?, ?, ?, ?)`, household, batch, w.At.Unix(), w.Grams)
	return err
}

// Weighings returns a batch's masses in order of time.
func (tx *Tx) Weighings(batch int64) ([]Weighing, error) {
	return collect(tx, func(r scanner) (Weighing, error) {
		var w Weighing
		var at int64
		err := r.Scan(&at, &w.Grams)
		w.At = time.Unix(at, 0).UTC()
		return w, err
	}, `SELECT at, grams FROM weighing WHERE batch = ? ORDER BY at, id`, batch)
}

// Rope is a room closed to children while lye is open.
type Rope struct {
	ID      int64
	Room    string
	Since   time.Time
	Bell    int64
	Cleared time.Time // zero while it is closed
}

// RopeOff closes a room; bell is the one that rings until all clear. What is held back is
// looked at anew.
func (tx *Tx) RopeOff(household int64, r Rope) error {
	if _, err := tx.Exec(`INSERT INTO rope (household, room, since, bell) VALUES (?, ?, ?, ?)`, household, r.Room, r.Since.Unix(), null(r.Bell)); err != nil {
		return err
	}
	return tx.Stir(household)
}

const ropeColumns = `id, room, since, bell, cleared`

func scanRope(r scanner) (Rope, error) {
	var rope Rope
	var since int64
	var bell, cleared sql.NullInt64
	err := r.Scan(&rope.ID, &rope.Room, &since, &bell, &cleared)
	rope.Since, rope.Bell, rope.Cleared = time.Unix(since, 0).UTC(), bell.Int64, instant(cleared)
	return rope, err
}

// Roped returns the rooms that are closed now.
func (tx *Tx) Roped(household int64) ([]Rope, error) {
	return collect(tx, scanRope, `SELECT `+ropeColumns+` FROM rope WHERE household = ? AND cleared IS NULL ORDER BY id`, household)
}

// ClearedSince returns the rooms that were opened again at or after an instant, the last
// first.
func (tx *Tx) ClearedSince(household int64, since time.Time) ([]Rope, error) {
	return collect(tx, scanRope, `SELECT `+ropeColumns+` FROM rope WHERE household = ? AND cleared >= ? ORDER BY cleared DESC, id DESC`, household, since.Unix())
}

// Clear opens a room again. What is held back is looked at anew.
func (tx *Tx) Clear(rope int64, now time.Time) error {
	if _, err := tx.Exec(`UPDATE rope SET cleared = ? WHERE id = ?`, now.Unix(), rope); err != nil {
		return err
	}
	_, err := tx.Exec(`INSERT INTO stir (household) SELECT household FROM rope WHERE id = ? ON CONFLICT (household) DO NOTHING`, rope)
	return err
}

// OutgoesTo returns the bars that went to somebody by name, oldest first.
func (tx *Tx) OutgoesTo(household int64, whom string) ([]Outgo, error) {
	return collect(tx, scanOutgo, `SELECT at, bars, how, whom FROM outgo WHERE household = ? AND whom = ? COLLATE NOCASE ORDER BY at, id`, household, whom)
}
