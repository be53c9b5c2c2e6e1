package storage

import (
	"database/sql"
	"time"
)

// Sowing is a flat, tray or bed that was sown. Days are dates at midnight UTC, zero
// when they have not come.
type Sowing struct {
	ID        int64
	Household int64
	Num       int
	Crop      string // as the table of crops calls it
	Variety   string
	Seeds     int // 0 when not counted
	Place     string
	Outdoors  bool
	Person    int64 // who looks after it
	Sown      time.Time
	Up        time.Time
	Came      int // seedlings counted
	Potted    time.Time
	Hardening time.Time // the first day out
	Hardened  int       // days out so far
	Planted   time.Time
	Picked    time.Time // the first harvest
	Over      time.Time
	Fate      string // how it ended
}

const sowingColumns = `id, household, num, crop, variety, seeds, place, outdoors, coalesce(person, 0), sown, up, came, potted, hardening, hardened, planted, picked, over, fate`

func scanSowing(r scanner) (Sowing, error) {
	var s Sowing
	var sown, up, potted, hardening, planted, picked, over day
	err := r.Scan(&s.ID, &s.Household, &s.Num, &s.Crop, &s.Variety, &s.Seeds, &s.Place, &s.Outdoors, &s.Person, &sown, &up, &s.Came, &potted, &hardening, &s.Hardened, &planted, &picked, &over, &s.Fate)
	s.Sown, s.Up, s.Potted, s.Hardening = time.Time(sown), time.Time(up), time.Time(potted), time.Time(hardening)
	s.Planted, s.Picked, s.Over = time.Time(planted), time.Time(picked), time.Time(over)
	return s, err
}

// day is a date as it is kept: 2027-04-12, empty for none.
type day time.Time

// Scan reads a date.
func (d *day) Scan(v any) error {
	text, _ := v.(string)
	if text == "" {
		return nil
	}
	t, err := time.Parse(time.DateOnly, text)
	*d = day(t)
	return err
}

func dayText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// AddSowing writes a sowing and numbers it.
func (tx *Tx) AddSowing(s Sowing) (Sowing, error) {
	_, err := tx.One(`INSERT INTO sowing (household, num, crop, variety, seeds, place, outdoors, person, sown)
		VALUES (?, (SELECT coalesce(max(num), 0) + 1 FROM sowing WHERE household = ?), ?, ?, ?, ?, ?, ?, ?) RETURNING id, num`,
		[]any{s.Household, s.Household, s.Crop, s.Variety, s.Seeds, s.Place, s.Outdoors, null(s.Person), dayText(s.Sown)}, &s.ID, &s.Num)
	if err != nil {
		return s, err
	}
	return s, tx.SaveSowing(s)
}

// SaveSowing writes everything that can happen to a sowing back.
func (tx *Tx) SaveSowing(s Sowing) error {
	_, err := tx.Exec(`UPDATE sowing SET variety = ?, seeds = ?, place = ?, outdoors = ?, person = ?, sown = ?, up = ?, came = ?, potted = ?, hardening = ?, hardened = ?, planted = ?, picked = ?, over = ?, fate = ? WHERE id = ?`,
		s.Variety, s.Seeds, s.Place, s.Outdoors, null(s.Person), dayText(s.Sown), dayText(s.Up), s.Came, dayText(s.Potted), dayText(s.Hardening), s.Hardened, dayText(s.Planted), dayText(s.Picked), dayText(s.Over), s.Fate, s.ID)
	return err
}

// Sowings returns a household's sowings, oldest first.
func (tx *Tx) Sowings(household int64) ([]Sowing, error) {
	return collect(tx, scanSowing, `SELECT `+sowingColumns+` FROM sowing WHERE household = ? ORDER BY sown, num`, household)
}

// NextSowing returns the number that the next sowing gets.
func (tx *Tx) NextSowing(household int64) (n int, err error) {
	_, err = tx.One(`SELECT coalesce(max(num), 0) + 1 FROM sowing WHERE household = ?`, []any{household}, &n)
	return n, err
}

// Packet is a packet of seed.
type Packet struct {
	ID        int64
	Household int64
	Crop      string
	Variety   string
	Seeds     int // 0 when not counted
	Left      int
	Year      int
	Whence    string
	Over      bool
}

// AddPacket puts a packet into the tin.
func (tx *Tx) AddPacket(p Packet) error {
	_, err := tx.Exec(`INSERT INTO packet (household, crop, variety, seeds, remains, year, whence) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		p.Household, p.Crop, p.Variety, p.Seeds, p.Left, p.Year, p.Whence)
	return err
}

// SavePacket writes back what is left of a packet.
func (tx *Tx) SavePacket(p Packet) error {
	_, err := tx.Exec(`UPDATE packet SET remains = ?, over = ? WHERE id = ?`, p.Left, p.Over, p.ID)
	return err
}

// Packets returns what is in the tin, by crop and then oldest first.
func (tx *Tx) Packets(household int64) ([]Packet, error) {
	return collect(tx, func(r scanner) (Packet, error) {
		var p Packet
		return p, r.Scan(&p.ID, &p.Household, &p.Crop, &p.Variety, &p.Seeds, &p.Left, &p.Year, &p.Whence, &p.Over)
	}, `SELECT id, household, crop, variety, seeds, remains, year, whence, over FROM packet WHERE household = ? AND NOT over ORDER BY crop, variety, year, id`, household)
}

// Wanted is how many plants of a crop the household wants in a season.
type Wanted struct {
	Crop    string
	Variety string
	Plants  int
}

// SetWanted writes it; none forgets it.
func (tx *Tx) SetWanted(household int64, year int, w Wanted) error {
	if w.Plants == 0 {
		_, err := tx.Exec(`DELETE FROM wanted WHERE household = ? AND year = ? AND crop = ? AND variety = ?`, household, year, w.Crop, w.Variety)
		return err
	}
	_, err := tx.Exec(`INSERT INTO wanted (household, year, crop, variety, plants) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (household, year, crop, variety) DO UPDATE SET plants = excluded.plants`, household, year, w.Crop, w.Variety, w.Plants)
	return err
}

// WantedIn returns what a household wants in a season, in the order told.
func (tx *Tx) WantedIn(household int64, year int) ([]Wanted, error) {
	return collect(tx, func(r scanner) (Wanted, error) {
		var w Wanted
		return w, r.Scan(&w.Crop, &w.Variety, &w.Plants)
	}, `SELECT crop, variety, plants FROM wanted WHERE household = ? AND year = ? ORDER BY id`, household, year)
}

// OwnCrop is a variety of the household, or its own figures for a crop of the table
// when Variety is empty. What is not valid is as in the table.
type OwnCrop struct {
	ID                                 int64
	Crop                               string
	Variety                            string
	DaysMin, DaysMax, FromOut          sql.NullInt64
	StartMin, StartMax, SetOut, SowOut sql.NullFloat64 // weeks, before and after the last frost
	Germination, Life, InRow, RowGap   sql.NullFloat64 // 0 to 1, years, cm
}

// SetOwnCrop writes the household's figures in place of earlier ones.
func (tx *Tx) SetOwnCrop(household int64, c OwnCrop) error {
	_, err := tx.Exec(`INSERT INTO owncrop (household, crop, variety, days_min, days_max, from_out, start_min, start_max, set_out, sow_out, germination, life, in_row, row_gap)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (household, crop, variety) DO UPDATE SET days_min = excluded.days_min, days_max = excluded.days_max, from_out = excluded.from_out,
			start_min = excluded.start_min, start_max = excluded.start_max, set_out = excluded.set_out, sow_out = excluded.sow_out,
			germination = excluded.germination, life = excluded.life, in_row = excluded.in_row, row_gap = excluded.row_gap`,
		household, c.Crop, c.Variety, c.DaysMin, c.DaysMax, c.FromOut, c.StartMin, c.StartMax, c.SetOut, c.SowOut, c.Germination, c.Life, c.InRow, c.RowGap)
	return err
}

// DropOwnCrop goes back to the table's figures.
func (tx *Tx) DropOwnCrop(id int64) error {
	_, err := tx.Exec(`DELETE FROM owncrop WHERE id = ?`, id)
	return err
}

// OwnCrops returns the household's own varieties and figures.
func (tx *Tx) OwnCrops(household int64) ([]OwnCrop, error) {
	return collect(tx, func(r scanner) (OwnCrop, error) {
		var c OwnCrop
		return c, r.Scan(&c.ID, &c.Crop, &c.Variety, &c.DaysMin, &c.DaysMax, &c.FromOut, &c.StartMin, &c.StartMax, &c.SetOut, &c.SowOut, &c.Germination, &c.Life, &c.InRow, &c.RowGap)
	}, `SELECT id, crop, variety, days_min, days_max, from_out, start_min, start_max, set_out, sow_out, germination, life, in_row, row_gap FROM owncrop WHERE household = ? ORDER BY id`, household)
}

// SetStation keeps a weather file, in place of an earlier one.
func (tx *Tx) SetStation(household int64, name string, series []byte) error {
	_, err := tx.Exec(`INSERT INTO station (household, name, series) VALUES (?, ?, ?)
		ON CONFLICT (household) DO UPDATE SET name = excluded.name, series = excluded.series`, household, name, series)
	return err
}

// Station returns the weather file that is kept.
func (tx *Tx) Station(household int64) (name string, series []byte, ok bool, err error) {
	ok, err = tx.One(`SELECT name, series FROM station WHERE household = ?`, []any{household}, &name, &series)
	return name, series, ok, err
}

// SetCold writes the forecast low of a night, in degrees Celsius.
func (tx *Tx) SetCold(household int64, night time.Time, low float64) error {
	_, err := tx.Exec(`INSERT INTO cold (household, night, low) VALUES (?, ?, ?) ON CONFLICT (household, night) DO UPDATE SET low = excluded.low`, household, dayText(night), low)
	return err
}

// Cold is the forecast low of a night, in degrees Celsius; the night is the day on
// whose evening it begins.
type Cold struct {
	Night time.Time
	Low   float64
}

// ColdsFrom returns the lows that were told of a night and those after it, in order.
func (tx *Tx) ColdsFrom(household int64, night time.Time) ([]Cold, error) {
	return collect(tx, func(r scanner) (Cold, error) {
		var c Cold
		var on day
		err := r.Scan(&on, &c.Low)
		c.Night = time.Time(on)
		return c, err
	}, `SELECT night, low FROM cold WHERE household = ? AND night >= ? ORDER BY night`, household, dayText(night))
}
