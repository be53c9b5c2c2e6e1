package storage

import "database/sql"

// Recipe is a recipe as it was typed: ingredient lines, an empty line, steps.
type Recipe struct {
	ID     int64
	Name   string
	Serves int // 0 when unknown
	Body   string
}

// SaveRecipe writes a recipe, replacing one of the same name.
func (tx *Tx) SaveRecipe(household int64, r Recipe) error {
	_, err := tx.Exec(`INSERT INTO recipe (household, name, serves, body) VALUES (?, ?, ?, ?)
		ON CONFLICT (household, name) DO UPDATE SET serves = excluded.serves, body = excluded.body`,
		household, r.Name, sql.NullInt64{Int64: int64(r.Serves), Valid: r.Serves > 0}, r.Body)
	return err
}

// Recipes returns a household's recipes by name.
func (tx *Tx) Recipes(household int64) ([]Recipe, error) {
	return collect(tx, func(r scanner) (Recipe, error) {
		var p Recipe
		err := r.Scan(&p.ID, &p.Name, &p.Serves, &p.Body)
		return p, err
	}, `SELECT id, name, coalesce(serves, 0), body FROM recipe WHERE household = ? ORDER BY name`, household)
}
