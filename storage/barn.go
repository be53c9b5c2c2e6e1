package storage

import (
	"database/sql"
	"slices"
	"time"
)

// barnTables are the tables of the barn desk whose changes can be taken back.
var barnTables = []string{"herd", "headcount", "egg", "alarm", "fodder", "fodderflow", "closed", "mating", "liveweight", "treatment"}

// Herd is an animal with a name, or a group of a kind. Head is how many there are.
type Herd struct {
	ID        int64
	Household int64
	Num       int
	Kind      string // hen, goat, sow, piglet
	Name      string // empty for the kind's own group
	Breed     string
	Born      time.Time // the day of hatch or birth, zero when not told
	Head      int
}

// AddHerd writes a group of nobody yet and numbers it.
func (tx *Tx) AddHerd(h Herd) (Herd, error) {
	_, err := tx.One(`INSERT INTO herd (household, num, kind, name, breed, born) VALUES (?, (SELECT coalesce(max(num), 0) + 1 FROM herd WHERE household = ?), ?, ?, ?, ?) RETURNING id, num`,
		[]any{h.Household, h.Household, h.Kind, h.Name, h.Breed, dayText(h.Born)}, &h.ID, &h.Num)
	return h, err
}

// SaveHerd writes back what can change of a group.
func (tx *Tx) SaveHerd(h Herd) error {
	_, err := tx.Exec(`UPDATE herd SET kind = ?, name = ?, breed = ?, born = ? WHERE id = ?`, h.Kind, h.Name, h.Breed, dayText(h.Born), h.ID)
	return err
}

// herdsOf is what the flock book of a household is kept by.
type herdsOf int64

// Herds returns the flock book in the order in which it was told, those that are gone too.
func (tx *Tx) Herds(household int64) ([]Herd, error) {
	herds, err := Kept(tx, herdsOf(household), func() ([]Herd, error) {
		return collect(tx, scanHerd, `SELECT h.id, h.household, h.num, h.kind, h.name, h.breed, h.born, coalesce((SELECT sum(change) FROM headcount c WHERE c.household = h.household AND c.herd = h.id), 0)
			FROM herd h WHERE h.household = ? ORDER BY h.num`, household)
	})
	return slices.Clone(herds), err
}

func scanHerd(r scanner) (Herd, error) {
	var h Herd
	var born day
	err := r.Scan(&h.ID, &h.Household, &h.Num, &h.Kind, &h.Name, &h.Breed, &born, &h.Head)
	h.Born = time.Time(born)
	return h, err
}

// Headcount is how many came into a group, or left it, on a day.
type Headcount struct {
	ID     int64
	Herd   int64
	Day    time.Time
	Change int
	How    string // counted, bought, born, sold, fox
	Whom   string
}

// AddHeadcount writes one down.
func (tx *Tx) AddHeadcount(household int64, c Headcount) error {
	_, err := tx.Exec(`INSERT INTO headcount (household, herd, day, change, how, whom) VALUES (?, ?, ?, ?, ?, ?)`,
		household, c.Herd, dayText(c.Day), c.Change, c.How, c.Whom)
	return err
}

// Headcounts returns what came and went of every group, by day.
func (tx *Tx) Headcounts(household int64) ([]Headcount, error) {
	return collect(tx, func(r scanner) (Headcount, error) {
		var c Headcount
		var on day
		err := r.Scan(&c.ID, &c.Herd, &on, &c.Change, &c.How, &c.Whom)
		c.Day = time.Time(on)
		return c, err
	}, `SELECT id, herd, day, change, how, whom FROM headcount WHERE household = ? ORDER BY day, id`, household)
}

// Eggs are those of one collection, kept by the day on which they were laid.
type Eggs struct {
	ID     int64
	Day    time.Time
	At     time.Time // when it was told
	Kind   string    // of which birds
	Herd   int64     // of which group, 0 for all of the kind
	Person int64
	Laid   int // the broken ones too
	Broken int
	Aside  int   // set aside to hatch
	Lot    int64 // where they went in the larder, 0 for nowhere
}

// AddEggs writes a collection down.
func (tx *Tx) AddEggs(household int64, e Eggs) (Eggs, error) {
	var err error
	e.ID, err = tx.Insert(`INSERT INTO egg (household, day, at, kind, herd, person, laid, broken, aside, lot) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		household, dayText(e.Day), e.At.Unix(), e.Kind, null(e.Herd), null(e.Person), e.Laid, e.Broken, e.Aside, null(e.Lot))
	return e, err
}

// SaveEggs writes a collection back that was told wrong.
func (tx *Tx) SaveEggs(e Eggs) error {
	_, err := tx.Exec(`UPDATE egg SET day = ?, kind = ?, herd = ?, laid = ?, broken = ?, aside = ?, lot = ? WHERE id = ?`,
		dayText(e.Day), e.Kind, null(e.Herd), e.Laid, e.Broken, e.Aside, null(e.Lot), e.ID)
	return err
}

const eggColumns = `id, day, at, kind, coalesce(herd, 0), coalesce(person, 0), laid, broken, aside, coalesce(lot, 0)`

func scanEggs(r scanner) (Eggs, error) {
	var e Eggs
	var on day
	var at int64
	err := r.Scan(&e.ID, &on, &at, &e.Kind, &e.Herd, &e.Person, &e.Laid, &e.Broken, &e.Aside, &e.Lot)
	e.Day, e.At = time.Time(on), time.Unix(at, 0).UTC()
	return e, err
}

// GrowLot makes a lot so much larger than was told, or smaller; no less than nothing is left.
func (tx *Tx) GrowLot(lot int64, by float64) error {
	_, err := tx.Exec(`UPDATE lot SET amount = max(amount + ?, 0), remains = max(remains + ?, 0) WHERE id = ?`, by, by, lot)
	return err
}

// EggsOn returns the collections of a day in the order told.
func (tx *Tx) EggsOn(household int64, on time.Time) ([]Eggs, error) {
	return collect(tx, scanEggs, `SELECT `+eggColumns+` FROM egg WHERE household = ? AND day = ? ORDER BY id`, household, dayText(on))
}

// LastEggs returns the collection that was told last.
func (tx *Tx) LastEggs(household int64) (Eggs, bool, error) {
	return first(tx, scanEggs, `SELECT `+eggColumns+` FROM egg WHERE household = ? ORDER BY id DESC LIMIT 1`, household)
}

// EggDay is what was collected of a day.
type EggDay struct {
	Day         time.Time
	Laid        int
	Broken      int
	Aside       int
	Collections int
}

// EggDays returns the sums of a kind by day, from a day on; of one group where herd is
// not 0. Days without a collection are not there.
func (tx *Tx) EggDays(household int64, kind string, herd int64, from time.Time) ([]EggDay, error) {
	return collect(tx, func(r scanner) (EggDay, error) {
		var d EggDay
		var on day
		err := r.Scan(&on, &d.Laid, &d.Broken, &d.Aside, &d.Collections)
		d.Day = time.Time(on)
		return d, err
	}, `SELECT day, sum(laid), sum(broken), sum(aside), count(*) FROM egg WHERE household = ? AND day >= ? AND kind = ? AND (herd = ? OR ? = 0) GROUP BY day ORDER BY day`,
		household, dayText(from), kind, herd, herd)
}

// LaidOn returns what was collected of a kind on a day.
func (tx *Tx) LaidOn(household int64, on time.Time, kind string) (EggDay, error) {
	d := EggDay{Day: on}
	_, err := tx.One(`SELECT coalesce(sum(laid), 0), count(*) FROM egg WHERE household = ? AND day = ? AND kind = ?`, []any{household, dayText(on), kind}, &d.Laid, &d.Collections)
	return d, err
}

// Alarm is a drop in laying that was told.
type Alarm struct {
	Kind string
	Day  time.Time
	Why  string
}

// AddAlarm writes one down; one of the same day is there already.
func (tx *Tx) AddAlarm(household int64, a Alarm) error {
	_, err := tx.Exec(`INSERT INTO alarm (household, kind, day, why) VALUES (?, ?, ?, ?) ON CONFLICT (household, kind, day) DO NOTHING`, household, a.Kind, dayText(a.Day), a.Why)
	return err
}

// DropAlarm takes one back.
func (tx *Tx) DropAlarm(household int64, a Alarm) error {
	_, err := tx.Exec(`DELETE FROM alarm WHERE household = ? AND kind = ? AND day = ?`, household, a.Kind, dayText(a.Day))
	return err
}

// AlarmsFrom returns what was told of a day and those after it.
func (tx *Tx) AlarmsFrom(household int64, from time.Time) ([]Alarm, error) {
	return collect(tx, func(r scanner) (Alarm, error) {
		var a Alarm
		var on day
		err := r.Scan(&a.Kind, &on, &a.Why)
		a.Day = time.Time(on)
		return a, err
	}, `SELECT kind, day, why FROM alarm WHERE household = ? AND day >= ? ORDER BY day, id`, household, dayText(from))
}

// Fodder is something that is fed, or bedded with.
type Fodder struct {
	ID        int64
	Household int64
	Name      string
	Pack      string  // sack or bale
	Grams     float64 // of one pack, 0 when not told
	Eaters    string  // the kinds that it is for, parted by commas
	Lead      int     // days from the bell to the day on which it runs out
}

// PutFodder writes a feed, or what is told anew of it.
func (tx *Tx) PutFodder(f Fodder) (Fodder, error) {
	_, err := tx.One(`INSERT INTO fodder (household, name, pack, grams, eaters, lead) VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET pack = excluded.pack, grams = excluded.grams, eaters = excluded.eaters, lead = excluded.lead RETURNING id`,
		[]any{f.Household, f.Name, f.Pack, f.Grams, f.Eaters, f.Lead}, &f.ID)
	return f, err
}

// Fodders returns what a household feeds, in the order told.
func (tx *Tx) Fodders(household int64) ([]Fodder, error) {
	return collect(tx, func(r scanner) (Fodder, error) {
		var f Fodder
		return f, r.Scan(&f.ID, &f.Household, &f.Name, &f.Pack, &f.Grams, &f.Eaters, &f.Lead)
	}, `SELECT id, household, name, pack, grams, eaters, lead FROM fodder WHERE household = ? ORDER BY id`, household)
}

// Ways for a feed to change.
const (
	FodderBought = "bought" // so much came
	FodderLeft   = "left"   // so much is there
	FodderOpened = "opened" // a pack was opened
	FodderUsed   = "used"   // so much went
)

// FodderFlow is something that happened to a feed, in grams.
type FodderFlow struct {
	ID     int64
	Fodder int64
	Day    time.Time
	How    string
	Grams  float64
	Packs  float64
}

// AddFodderFlow writes it down.
func (tx *Tx) AddFodderFlow(household int64, f FodderFlow) error {
	_, err := tx.Exec(`INSERT INTO fodderflow (household, fodder, day, how, grams, packs) VALUES (?, ?, ?, ?, ?, ?)`,
		household, f.Fodder, dayText(f.Day), f.How, f.Grams, f.Packs)
	return err
}

// FodderFlows returns what happened to a feed, by day and in the order told.
func (tx *Tx) FodderFlows(household, fodder int64) ([]FodderFlow, error) {
	return collect(tx, func(r scanner) (FodderFlow, error) {
		var f FodderFlow
		var on day
		err := r.Scan(&f.ID, &f.Fodder, &on, &f.How, &f.Grams, &f.Packs)
		f.Day = time.Time(on)
		return f, err
	}, `SELECT id, fodder, day, how, grams, packs FROM fodderflow WHERE household = ? AND fodder = ? ORDER BY day, id`, household, fodder)
}

// Closed is a day on which nothing can be bought: every one of a weekday when Day is zero.
type Closed struct {
	Day     time.Time
	Weekday time.Weekday
}

// AddClosed writes it down once.
func (tx *Tx) AddClosed(household int64, c Closed) error {
	weekday := int(c.Weekday)
	if !c.Day.IsZero() {
		weekday = -1
	}
	_, err := tx.Exec(`INSERT INTO closed (household, day, weekday) VALUES (?, ?, ?) ON CONFLICT (household, day, weekday) DO NOTHING`, household, dayText(c.Day), weekday)
	return err
}

// DropClosed opens the shops again.
func (tx *Tx) DropClosed(household int64, c Closed) error {
	weekday := int(c.Weekday)
	if !c.Day.IsZero() {
		weekday = -1
	}
	_, err := tx.Exec(`DELETE FROM closed WHERE household = ? AND day = ? AND weekday = ?`, household, dayText(c.Day), weekday)
	return err
}

// ClosedDays returns the days on which nothing can be bought.
func (tx *Tx) ClosedDays(household int64) ([]Closed, error) {
	return collect(tx, func(r scanner) (Closed, error) {
		var c Closed
		var on day
		var weekday int
		err := r.Scan(&on, &weekday)
		c.Day, c.Weekday = time.Time(on), time.Weekday(max(weekday, 0))
		return c, err
	}, `SELECT day, weekday FROM closed WHERE household = ? ORDER BY day, weekday`, household)
}

// Mating is a service, or a time with the male, or eggs that were set, and what came
// of it.
type Mating struct {
	ID        int64
	Household int64
	Num       int
	Herd      int64
	Species   string // as the table of gestation calls it
	Breed     string
	Name      string // whom or what it is called: the sow, Clover, 12 duck eggs
	Sire      string
	Since     time.Time
	Until     time.Time
	Eggs      int    // set; 0 for a pregnancy
	Under     string // broody, incubator, still air
	Over      time.Time
	Fate      string // born, hatched, returned, lost
	Born      int    // alive
	Dead      int
	Young     int64 // the group that came of it
	Weaned    time.Time
}

// Fates of a mating.
const (
	FateBorn     = "born"
	FateReturned = "returned" // to heat: it did not take
	FateLost     = "lost"
)

const matingColumns = `id, household, num, coalesce(herd, 0), species, breed, name, sire, since, until, eggs, under, over, fate, born, dead, coalesce(young, 0), weaned`

func scanMating(r scanner) (Mating, error) {
	var m Mating
	var since, until, over, weaned day
	err := r.Scan(&m.ID, &m.Household, &m.Num, &m.Herd, &m.Species, &m.Breed, &m.Name, &m.Sire, &since, &until, &m.Eggs, &m.Under, &over, &m.Fate, &m.Born, &m.Dead, &m.Young, &weaned)
	m.Since, m.Until, m.Over, m.Weaned = time.Time(since), time.Time(until), time.Time(over), time.Time(weaned)
	return m, err
}

// AddMating writes one down and numbers it.
func (tx *Tx) AddMating(m Mating) (Mating, error) {
	_, err := tx.One(`INSERT INTO mating (household, num, herd, species, breed, name, sire, since, until, eggs, under)
		VALUES (?, (SELECT coalesce(max(num), 0) + 1 FROM mating WHERE household = ?), ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id, num`,
		[]any{m.Household, m.Household, null(m.Herd), m.Species, m.Breed, m.Name, m.Sire, dayText(m.Since), dayText(m.Until), m.Eggs, m.Under}, &m.ID, &m.Num)
	return m, err
}

// SaveMating writes back everything that can happen to it.
func (tx *Tx) SaveMating(m Mating) error {
	_, err := tx.Exec(`UPDATE mating SET breed = ?, sire = ?, since = ?, until = ?, eggs = ?, under = ?, over = ?, fate = ?, born = ?, dead = ?, young = ?, weaned = ? WHERE id = ?`,
		m.Breed, m.Sire, dayText(m.Since), dayText(m.Until), m.Eggs, m.Under, dayText(m.Over), m.Fate, m.Born, m.Dead, null(m.Young), dayText(m.Weaned), m.ID)
	return err
}

// Matings returns them all, oldest first.
func (tx *Tx) Matings(household int64) ([]Mating, error) {
	return collect(tx, scanMating, `SELECT `+matingColumns+` FROM mating WHERE household = ? ORDER BY since, num`, household)
}

// Weight is what an animal weighed on a day, in grams.
type Weight struct {
	Herd  int64
	Name  string
	Day   time.Time
	Grams float64
	How   string // tape or scale
}

// AddWeight writes it down.
func (tx *Tx) AddWeight(household int64, w Weight) error {
	_, err := tx.Exec(`INSERT INTO liveweight (household, herd, name, day, grams, how) VALUES (?, ?, ?, ?, ?, ?)`, household, null(w.Herd), w.Name, dayText(w.Day), w.Grams, w.How)
	return err
}

// Weights returns what was weighed, by day.
func (tx *Tx) Weights(household int64) ([]Weight, error) {
	return collect(tx, func(r scanner) (Weight, error) {
		var w Weight
		var on day
		err := r.Scan(&w.Herd, &w.Name, &on, &w.Grams, &w.How)
		w.Day = time.Time(on)
		return w, err
	}, `SELECT coalesce(herd, 0), name, day, grams, how FROM liveweight WHERE household = ? ORDER BY day, id`, household)
}

// Treatment is a dose with the withdrawal that was typed from its label. What is not
// valid was not told; below 0 is never to be used.
type Treatment struct {
	ID        int64
	Kind      string // the kind of animal
	Herd      int64
	Name      string // whom it was given to
	What      string // the product or the work, as typed
	At        time.Time
	EggDays   sql.NullFloat64
	MilkHours sql.NullFloat64
	MeatDays  sql.NullFloat64
}

// AddTreatment writes it down.
func (tx *Tx) AddTreatment(household int64, t Treatment) (Treatment, error) {
	var err error
	t.ID, err = tx.Insert(`INSERT INTO treatment (household, kind, herd, name, what, at, egg_days, milk_hours, meat_days) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		household, t.Kind, null(t.Herd), t.Name, t.What, t.At.Unix(), t.EggDays, t.MilkHours, t.MeatDays)
	return t, err
}

// SaveTreatment writes back what was told late of a label.
func (tx *Tx) SaveTreatment(t Treatment) error {
	_, err := tx.Exec(`UPDATE treatment SET what = ?, egg_days = ?, milk_hours = ?, meat_days = ? WHERE id = ?`, t.What, t.EggDays, t.MilkHours, t.MeatDays, t.ID)
	return err
}

// Treatments returns what was given, oldest first.
func (tx *Tx) Treatments(household int64) ([]Treatment, error) {
	return collect(tx, func(r scanner) (Treatment, error) {
		var t Treatment
		var at int64
		err := r.Scan(&t.ID, &t.Kind, &t.Herd, &t.Name, &t.What, &at, &t.EggDays, &t.MilkHours, &t.MeatDays)
		t.At = time.Unix(at, 0).UTC()
		return t, err
	}, `SELECT id, kind, coalesce(herd, 0), name, what, at, egg_days, milk_hours, meat_days FROM treatment WHERE household = ? ORDER BY at, id`, household)
}
