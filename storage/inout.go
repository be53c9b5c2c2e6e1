package storage

import (
	"database/sql"
	"time"
)

// Neighbour is another household, by name: it has no access to the chat.
type Neighbour struct {
	ID   int64
	Name string
}

// AddNeighbour writes one down.
func (tx *Tx) AddNeighbour(household int64, name string, now time.Time) (Neighbour, error) {
	n := Neighbour{Name: name}
	_, err := tx.One(`INSERT INTO neighbour (household, name, since) VALUES (?, ?, ?) RETURNING id`, []any{household, name, now.Unix()}, &n.ID)
	return n, err
}

// Neighbours returns a household's neighbours by name.
func (tx *Tx) Neighbours(household int64) ([]Neighbour, error) {
	return collect(tx, func(r scanner) (Neighbour, error) {
		var n Neighbour
		return n, r.Scan(&n.ID, &n.Name)
	}, `SELECT id, name FROM neighbour WHERE household = ? ORDER BY name`, household)
}

// Dealing is one thing that went out of the house or came in.
type Dealing struct {
	ID        int64
	Household int64
	At        time.Time
	Way       string // gave, sold, swapped, lent, picked, put up, got, bought, paid, owes
	Out       bool
	Neighbour int64 // 0 for nobody that was named
	Item      string
	Each      string
	Dim       Dimension
	Amount    float64
	Owed      bool // counts in what is owed: out, they owe it; in, we do
}

// AddDealing writes one down.
func (tx *Tx) AddDealing(d Dealing) (Dealing, error) {
	_, err := tx.One(`INSERT INTO dealing (household, at, way, out, neighbour, item, each, dim, amount, owed) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		[]any{d.Household, d.At.Unix(), d.Way, d.Out, null(d.Neighbour), d.Item, d.Each, d.Dim, d.Amount, d.Owed}, &d.ID)
	return d, err
}

// SetDealt corrects how much a dealing was.
func (tx *Tx) SetDealt(dealing int64, amount float64) error {
	_, err := tx.Exec(`UPDATE dealing SET amount = ? WHERE id = ?`, amount, dealing)
	return err
}

// Dealings returns what went out and came in, oldest first.
func (tx *Tx) Dealings(household int64) ([]Dealing, error) {
	return collect(tx, func(r scanner) (Dealing, error) {
		var d Dealing
		var at int64
		err := r.Scan(&d.ID, &d.Household, &at, &d.Way, &d.Out, &d.Neighbour, &d.Item, &d.Each, &d.Dim, &d.Amount, &d.Owed)
		d.At = time.Unix(at, 0).UTC()
		return d, err
	}, `SELECT id, household, at, way, out, coalesce(neighbour, 0), item, each, dim, amount, owed FROM dealing WHERE household = ? ORDER BY at, id`, household)
}

// DealingDraws returns what a dealing took out of the larder, lot by lot.
func (tx *Tx) DealingDraws(household, dealing int64) ([]Draw, error) {
	return collect(tx, func(r scanner) (d Draw, err error) {
		d.Lot, err = scanLot(r, &d.Batch, &d.Dealing, &d.Amount)
		return d, err
	}, `SELECT `+lotColumns+`, coalesce(draw.batch, 0), coalesce(draw.dealing, 0), draw.amount
		FROM draw JOIN lot ON lot.id = draw.lot WHERE draw.household = ? AND draw.dealing = ? ORDER BY draw.id`, household, dealing)
}

// PutBack returns a part of what a dealing drew to its lot.
func (tx *Tx) PutBack(d Draw, amount float64) error {
	d.Amount = -amount
	return tx.addDraw(d)
}

// Loan is a thing that is lent and comes back: ours with a neighbour, or theirs here.
type Loan struct {
	ID        int64
	Neighbour int64
	Item      string
	Ours      bool
	Since     time.Time
}

// AddLoan writes one down.
func (tx *Tx) AddLoan(household int64, l Loan) error {
	_, err := tx.Exec(`INSERT INTO loan (household, neighbour, item, ours, since) VALUES (?, ?, ?, ?, ?)`, household, l.Neighbour, l.Item, l.Ours, l.Since.Unix())
	return err
}

// LoanBack writes that a thing is back.
func (tx *Tx) LoanBack(loan int64, at time.Time) error {
	_, err := tx.Exec(`UPDATE loan SET back = ? WHERE id = ?`, at.Unix(), loan)
	return err
}

// Loans returns what is lent and not back, oldest first.
func (tx *Tx) Loans(household int64) ([]Loan, error) {
	return collect(tx, func(r scanner) (Loan, error) {
		var l Loan
		var since sql.NullInt64
		err := r.Scan(&l.ID, &l.Neighbour, &l.Item, &l.Ours, &since)
		l.Since = instant(since)
		return l, err
	}, `SELECT id, neighbour, item, ours, since FROM loan WHERE household = ? AND back IS NULL ORDER BY since, id`, household)
}
