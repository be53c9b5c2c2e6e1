package storage

import (
	"database/sql"
	"strings"
	"time"
)

// Recipe is a recipe as it was typed: ingredient lines, an empty line, steps.
type Recipe struct {
	ID     int64
	Name   string
	Serves int // 0 when unknown
	Body   string
	Tags   []string
}

// SaveRecipe writes a recipe, replacing one of the same name.
func (tx *Tx) SaveRecipe(household int64, r Recipe) error {
	_, err := tx.Exec(`INSERT INTO recipe (household, name, serves, body, tags) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET serves = excluded.serves, body = excluded.body, tags = excluded.tags`,
		household, r.Name, sql.NullInt64{Int64: int64(r.Serves), Valid: r.Serves > 0}, r.Body, strings.Join(r.Tags, " "))
	return err
}

// RenameRecipe gives a recipe another name.
func (tx *Tx) RenameRecipe(id int64, name string) error {
	_, err := tx.Exec(`UPDATE recipe SET name = ? WHERE id = ?`, name, id)
	return err
}

// DropRecipe takes a recipe out of the book.
func (tx *Tx) DropRecipe(id int64) error {
	_, err := tx.Exec(`DELETE FROM recipe WHERE id = ?`, id)
	return err
}

// Recipes returns a household's recipes by name.
func (tx *Tx) Recipes(household int64) ([]Recipe, error) {
	return collect(tx, func(r scanner) (Recipe, error) {
		var p Recipe
		var tags string
		err := r.Scan(&p.ID, &p.Name, &p.Serves, &p.Body, &tags)
		p.Tags = strings.Fields(tags)
		return p, err
	}, `SELECT id, name, coalesce(serves, 0), body, tags FROM recipe WHERE household = ? ORDER BY name`, household)
}

// RecipeNames returns a household's recipes by name, without what is in them.
func (tx *Tx) RecipeNames(household int64) ([]Recipe, error) {
	return collect(tx, func(r scanner) (Recipe, error) {
		var p Recipe
		err := r.Scan(&p.ID, &p.Name)
		return p, err
	}, `SELECT id, name FROM recipe WHERE household = ? ORDER BY name`, household)
}

// Meal is what is cooked on a day. At is zero when only the day is known; Portions 0
// is for whoever is there.
type Meal struct {
	ID        int64
	Household int64
	Num       int
	Day       time.Time
	At        time.Time
	Recipe    string
	Portions  float64
	Away      float64 // to give
	Way       string
	Began     time.Time // the cooking went on then, as somebody told; zero when nobody did
	Over      bool
	Ahead     time.Time // its work begins then, and it is cooled and heated again; zero when it is cooked for its time
}

// AddMeal writes a meal and numbers it.
func (tx *Tx) AddMeal(m Meal) (Meal, error) {
	_, err := tx.One(`INSERT INTO meal (household, num, day, at, recipe, portions, away, way, ahead)
		VALUES (?, (SELECT coalesce(max(num), 0) + 1 FROM meal WHERE household = ?), ?, ?, ?, ?, ?, ?, ?) RETURNING id, num`,
		[]any{m.Household, m.Household, dayText(m.Day), nullTime(m.At), m.Recipe, m.Portions, m.Away, m.Way, nullTime(m.Ahead)}, &m.ID, &m.Num)
	return m, err
}

// NextMeal returns the number that the next meal gets.
func (tx *Tx) NextMeal(household int64) (n int, err error) {
	_, err = tx.One(`SELECT coalesce(max(num), 0) + 1 FROM meal WHERE household = ?`, []any{household}, &n)
	return n, err
}

// SaveMeal writes back what can change of a meal.
func (tx *Tx) SaveMeal(m Meal) error {
	_, err := tx.Exec(`UPDATE meal SET day = ?, at = ?, recipe = ?, portions = ?, away = ?, way = ?, began = ?, over = ?, ahead = ? WHERE id = ?`,
		dayText(m.Day), nullTime(m.At), m.Recipe, m.Portions, m.Away, m.Way, nullTime(m.Began), m.Over, nullTime(m.Ahead), m.ID)
	return err
}

// Meals returns the meals of a run of days that are not called off, in order.
func (tx *Tx) Meals(household int64, from, to time.Time) ([]Meal, error) {
	return collect(tx, scanMeal, `SELECT `+mealColumns+` FROM meal WHERE household = ? AND day >= ? AND day <= ? AND NOT over ORDER BY day, at, num`,
		household, dayText(from), dayText(to))
}

// MealOf returns the meal that is the subject of a bell: "meal:4".
func (tx *Tx) MealOf(household int64, subject string) (Meal, bool, error) {
	num, _ := strings.CutPrefix(subject, "meal:")
	return first(tx, scanMeal, `SELECT `+mealColumns+` FROM meal WHERE household = ? AND num = ?`, household, num)
}

const mealColumns = `id, household, num, day, at, recipe, portions, away, way, began, over, ahead`

func scanMeal(r scanner) (Meal, error) {
	var m Meal
	var d day
	var at, began, ahead sql.NullInt64
	err := r.Scan(&m.ID, &m.Household, &m.Num, &d, &at, &m.Recipe, &m.Portions, &m.Away, &m.Way, &began, &m.Over, &ahead)
	m.Day, m.At, m.Began, m.Ahead = time.Time(d), instant(at), instant(began), instant(ahead)
	return m, err
}

// Jar is the sourdough jar.
type Jar struct {
	Grams     float64
	Hydration float64 // water to flour, by weight
	Place     string  // counter or fridge
	Celsius   float64
	Since     time.Time // stands there since
	Fed       time.Time // zero when never told
	Ratio     string    // of the last feed: "1:2:2"
	Seed      float64   // how much of it is kept at a feed, in grams
}

// SetJar writes what the jar is now.
func (tx *Tx) SetJar(household int64, j Jar) error {
	_, err := tx.Exec(`INSERT INTO jar (household, grams, hydration, place, celsius, since, fed, ratio, seed) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (household) DO UPDATE SET grams = excluded.grams, hydration = excluded.hydration, place = excluded.place, celsius = excluded.celsius, since = excluded.since, fed = excluded.fed, ratio = excluded.ratio, seed = excluded.seed`,
		household, j.Grams, j.Hydration, j.Place, j.Celsius, nullTime(j.Since), nullTime(j.Fed), j.Ratio, j.Seed)
	return err
}

// JarOf returns a household's jar.
func (tx *Tx) JarOf(household int64) (j Jar, ok bool, err error) {
	var since, fed sql.NullInt64
	ok, err = tx.One(`SELECT grams, hydration, place, celsius, since, fed, ratio, seed FROM jar WHERE household = ?`, []any{household}, &j.Grams, &j.Hydration, &j.Place, &j.Celsius, &since, &fed, &j.Ratio, &j.Seed)
	j.Since, j.Fed = instant(since), instant(fed)
	return j, ok, err
}

// Peak is how long a feed took to peak.
type Peak struct {
	At      time.Time
	Ratio   string
	Celsius float64
	Hours   float64
}

// AddPeak logs one.
func (tx *Tx) AddPeak(household int64, p Peak) error {
	_, err := tx.Exec(`INSERT INTO peak (household, at, ratio, celsius, hours) VALUES (?, ?, ?, ?, ?)`, household, p.At.Unix(), p.Ratio, p.Celsius, p.Hours)
	return err
}

// Peaks returns what was logged, oldest first.
func (tx *Tx) Peaks(household int64) ([]Peak, error) {
	return collect(tx, func(r scanner) (Peak, error) {
		var p Peak
		var at int64
		err := r.Scan(&at, &p.Ratio, &p.Celsius, &p.Hours)
		p.At = time.Unix(at, 0).UTC()
		return p, err
	}, `SELECT at, ratio, celsius, hours FROM peak WHERE household = ? ORDER BY at`, household)
}

// Allergy is what somebody must not eat.
type Allergy struct{ Name, What string }

// SetAllergy writes one down, or takes it back.
func (tx *Tx) SetAllergy(household int64, a Allergy, on bool) error {
	if !on {
		_, err := tx.Exec(`DELETE FROM allergy WHERE household = ? AND name = ? AND what = ?`, household, a.Name, a.What)
		return err
	}
	_, err := tx.Exec(`INSERT INTO allergy (household, name, what) VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, household, a.Name, a.What)
	return err
}

// Allergies returns what people must not eat, by name.
func (tx *Tx) Allergies(household int64) ([]Allergy, error) {
	return collect(tx, func(r scanner) (Allergy, error) {
		var a Allergy
		return a, r.Scan(&a.Name, &a.What)
	}, `SELECT name, what FROM allergy WHERE household = ? ORDER BY name, what`, household)
}

// Appetite is how much a person eats, against the table.
type Appetite struct {
	Person   int64
	Factor   float64
	Sex      string // male, female, empty when not told
	Activity string // sedentary, moderate, active, empty when not told
}

// SetAppetite writes it in place of an earlier one.
func (tx *Tx) SetAppetite(household int64, a Appetite) error {
	_, err := tx.Exec(`INSERT INTO appetite (household, person, factor, sex, activity) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (household, person) DO UPDATE SET factor = excluded.factor, sex = excluded.sex, activity = excluded.activity`, household, a.Person, a.Factor, a.Sex, a.Activity)
	return err
}

// Appetites returns what was told of people's appetites.
func (tx *Tx) Appetites(household int64) ([]Appetite, error) {
	return collect(tx, func(r scanner) (Appetite, error) {
		var a Appetite
		return a, r.Scan(&a.Person, &a.Factor, &a.Sex, &a.Activity)
	}, `SELECT person, factor, sex, activity FROM appetite WHERE household = ?`, household)
}
