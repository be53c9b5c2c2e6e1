-- +goose Up

-- A recipe is kept as it was typed; how its lines are understood is worked out
-- anew each time, so that a better reader improves old recipes.
CREATE TABLE recipe (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    serves    INTEGER,
    body      TEXT NOT NULL,
    UNIQUE (household, name)
) STRICT;

-- +goose Down
DROP TABLE recipe;
