-- +goose Up

-- The numbers that a household's chat had before: what was typed right before it got
-- another still comes with the old one.
CREATE TABLE formerly (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    chat      TEXT NOT NULL UNIQUE
) STRICT;

-- +goose Down
DROP TABLE formerly;
