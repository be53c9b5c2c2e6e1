package storage

import (
	"database/sql"
	"time"
)

// Lot is something in stock, as it was bought or put up. Amounts are grams, or
// millilitres for what was bought by volume.
type Lot struct {
	ID        int64
	Household int64
	Item      string
	Code      string // the maker's lot number
	Got       time.Time
	Amount    float64
	Left      float64
	Volume    bool
	Cost      float64 // of the whole lot, in the household's money; below 0 when not known
	Whence    string
	Best      time.Time // best before, zero when not said
}

const lotColumns = `id, household, item, code, got, amount, remains, volume, coalesce(cost, -1), whence, best`

func scanLot(r scanner) (Lot, error) {
	var l Lot
	var got int64
	var best day
	err := r.Scan(&l.ID, &l.Household, &l.Item, &l.Code, &got, &l.Amount, &l.Left, &l.Volume, &l.Cost, &l.Whence, &best)
	l.Got, l.Best = time.Unix(got, 0).UTC(), time.Time(best)
	return l, err
}

// AddLot puts something into the larder.
func (tx *Tx) AddLot(l Lot) (Lot, error) {
	cost := sql.NullFloat64{Float64: l.Cost, Valid: l.Cost >= 0}
	_, err := tx.One(`INSERT INTO lot (household, item, code, got, amount, remains, volume, cost, whence, best) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		[]any{l.Household, l.Item, l.Code, l.Got.Unix(), l.Amount, l.Left, l.Volume, cost, l.Whence, dayText(l.Best)}, &l.ID)
	return l, err
}

// Lots returns what is or was in the larder, oldest first; with stocked only what
// something is left of.
func (tx *Tx) Lots(household int64, stocked bool) ([]Lot, error) {
	return collect(tx, scanLot, `SELECT `+lotColumns+` FROM lot WHERE household = ? AND (remains > 0 OR NOT ?) ORDER BY got, id`, household, stocked)
}

// SetLeft writes what is left of a lot.
func (tx *Tx) SetLeft(lot int64, left float64) error {
	_, err := tx.Exec(`UPDATE lot SET remains = ? WHERE id = ?`, left, lot)
	return err
}

// Draw is what a batch took of a lot.
type Draw struct {
	Lot    Lot
	Batch  int64
	Amount float64
}

// AddDraw takes an amount out of a lot for a batch, 0 for none.
func (tx *Tx) AddDraw(l Lot, batch int64, amount float64) error {
	if err := tx.SetLeft(l.ID, l.Left-amount); err != nil {
		return err
	}
	_, err := tx.Exec(`INSERT INTO draw (household, lot, batch, amount) VALUES (?, ?, ?, ?)`, l.Household, l.ID, null(batch), amount)
	return err
}

// Draws returns what the household's batches took, oldest first.
func (tx *Tx) Draws(household int64) ([]Draw, error) {
	return collect(tx, func(r scanner) (Draw, error) {
		var d Draw
		var got int64
		err := r.Scan(&d.Batch, &d.Amount, &d.Lot.ID, &d.Lot.Household, &d.Lot.Item, &d.Lot.Code, &got, &d.Lot.Amount, &d.Lot.Left, &d.Lot.Volume, &d.Lot.Cost, &d.Lot.Whence)
		d.Lot.Got = time.Unix(got, 0).UTC()
		return d, err
	}, `SELECT coalesce(draw.batch, 0), draw.amount, lot.id, lot.household, lot.item, lot.code, lot.got, lot.amount, lot.remains, lot.volume, coalesce(lot.cost, -1), lot.whence
		FROM draw JOIN lot ON lot.id = draw.lot WHERE draw.household = ? ORDER BY draw.id`, household)
}
