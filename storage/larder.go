package storage

import (
	"database/sql"
	"slices"
	"time"
)

// Dimension is what an amount counts.
type Dimension uint8

// The dimensions.
const (
	Mass   Dimension = iota // grams
	Volume                  // millilitres
	Count                   // pieces
	Money                   // of the household's own; of a dealing, never of a lot
)

// Lot is something in stock, as it was bought or put up.
type Lot struct {
	ID        int64
	Household int64
	Item      string
	Code      string // the maker's lot number
	Got       time.Time
	Amount    float64
	Left      float64
	Dim       Dimension // what Amount and Left count
	Each      string    // of what is counted: "tin", "jar"; empty for the thing itself
	Size      float64   // what one piece holds, 0 when not said
	SizeDim   Dimension // Mass or Volume
	Cost      float64   // of the whole lot, in the household's money; below 0 when not known
	Whence    string
	Best      time.Time // best before, zero when not said
	Hold      time.Time // not to be eaten or drunk until then, an instant; zero for none
	HoldWhy   string    // what holds it, for people: "the hens were wormed"
}

// Held reports that the lot is not to be eaten or drunk yet.
func (l Lot) Held(now time.Time) bool { return l.Hold.After(now) }

// Holds is how much of a dimension the lot holds: that of a count with a size also by
// mass or volume. It returns false for a dimension that says nothing of it.
func (l Lot) Holds(dim Dimension) (float64, bool) {
	switch {
	case l.Dim == dim:
		return l.Left, true
	case l.Dim == Count && l.Size > 0 && l.SizeDim == dim:
		return l.Left * l.Size, true
	}
	return 0, false
}

// In turns an amount of a dimension that the lot Holds into the lot's own.
func (l Lot) In(dim Dimension, amount float64) float64 {
	if l.Dim == dim || l.Size <= 0 {
		return amount
	}
	return amount / l.Size
}

const lotColumns = `lot.id, lot.household, lot.item, lot.code, lot.got, lot.amount, lot.remains, lot.volume, lot.each, lot.size, lot.sizedim, coalesce(lot.cost, -1), lot.whence, lot.best, lot.hold, lot.holdwhy`

func scanLot(r scanner, more ...any) (Lot, error) {
	var l Lot
	var got int64
	var best day
	var hold sql.NullInt64
	err := r.Scan(append([]any{&l.ID, &l.Household, &l.Item, &l.Code, &got, &l.Amount, &l.Left, &l.Dim, &l.Each, &l.Size, &l.SizeDim, &l.Cost, &l.Whence, &best, &hold, &l.HoldWhy}, more...)...)
	l.Got, l.Best, l.Hold = time.Unix(got, 0).UTC(), time.Time(best), instant(hold)
	return l, err
}

// AddLot puts something into the larder.
func (tx *Tx) AddLot(l Lot) (Lot, error) {
	cost := sql.NullFloat64{Float64: l.Cost, Valid: l.Cost >= 0}
	_, err := tx.One(`INSERT INTO lot (household, item, code, got, amount, remains, volume, each, size, sizedim, cost, whence, best, hold, holdwhy) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		[]any{l.Household, l.Item, l.Code, l.Got.Unix(), l.Amount, l.Left, l.Dim, l.Each, l.Size, l.SizeDim, cost, l.Whence, dayText(l.Best), nullTime(l.Hold), l.HoldWhy}, &l.ID)
	return l, err
}

// Lots returns what is or was in the larder, oldest first; with stocked only what
// something is left of.
func (tx *Tx) Lots(household int64, stocked bool) ([]Lot, error) {
	return collect(tx, func(r scanner) (Lot, error) { return scanLot(r) }, `SELECT `+lotColumns+` FROM lot WHERE household = ? AND (remains > 0 OR NOT ?) ORDER BY got, id`, household, stocked)
}

// SetLeft writes what is left of a lot.
func (tx *Tx) SetLeft(lot int64, left float64) error {
	_, err := tx.Exec(`UPDATE lot SET remains = ? WHERE id = ?`, left, lot)
	return err
}

// HoldLot writes until when a lot is not to be eaten or drunk, and why; a zero time
// lifts it.
func (tx *Tx) HoldLot(lot int64, until time.Time, why string) error {
	_, err := tx.Exec(`UPDATE lot SET hold = ?, holdwhy = ? WHERE id = ?`, nullTime(until), why, lot)
	return err
}

// FirstToGo orders lots as they are used: what has a date before what has none, the
// nearest date first, else the oldest.
func FirstToGo(lots []Lot) {
	slices.SortStableFunc(lots, func(a, b Lot) int {
		switch {
		case a.Best.IsZero() && b.Best.IsZero():
			return 0
		case a.Best.IsZero():
			return 1
		case b.Best.IsZero():
			return -1
		}
		return a.Best.Compare(b.Best)
	})
}

// Draw is what a batch or a dealing took of a lot.
type Draw struct {
	Lot     Lot
	Batch   int64
	Dealing int64
	Amount  float64 // in the lot's own dimension
}

// AddDraw takes an amount out of a lot for a batch, 0 for none.
func (tx *Tx) AddDraw(l Lot, batch int64, amount float64) error {
	return tx.addDraw(Draw{Lot: l, Batch: batch, Amount: amount})
}

func (tx *Tx) addDraw(d Draw) error {
	if err := tx.SetLeft(d.Lot.ID, d.Lot.Left-d.Amount); err != nil {
		return err
	}
	_, err := tx.Exec(`INSERT INTO draw (household, lot, batch, dealing, amount) VALUES (?, ?, ?, ?, ?)`, d.Lot.Household, d.Lot.ID, null(d.Batch), null(d.Dealing), d.Amount)
	return err
}

// Take takes an amount out of lots in their order, as far as they go, for a dealing, 0
// for none. The amount is in the lots' own dimension, which they share. It returns what
// they were short of, and leaves in lots what is left of each.
func (tx *Tx) Take(lots []Lot, dealing int64, amount float64) (short float64, err error) {
	for i, l := range lots {
		take := min(amount, l.Left)
		if take <= 0 {
			continue
		}
		if err := tx.addDraw(Draw{Lot: l, Dealing: dealing, Amount: take}); err != nil {
			return amount, err
		}
		lots[i].Left -= take
		amount -= take
	}
	return amount, nil
}

// Draws returns what was taken out of the household's lots, oldest first.
func (tx *Tx) Draws(household int64) ([]Draw, error) {
	return collect(tx, func(r scanner) (d Draw, err error) {
		d.Lot, err = scanLot(r, &d.Batch, &d.Dealing, &d.Amount)
		return d, err
	}, `SELECT `+lotColumns+`, coalesce(draw.batch, 0), coalesce(draw.dealing, 0), draw.amount
		FROM draw JOIN lot ON lot.id = draw.lot WHERE draw.household = ? ORDER BY draw.id`, household)
}
