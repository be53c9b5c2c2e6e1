-- +goose Up

-- A block of some days and not of every week: from which day until which.
ALTER TABLE block ADD COLUMN since TEXT NOT NULL DEFAULT ''; -- empty: always
ALTER TABLE block ADD COLUMN until TEXT NOT NULL DEFAULT '';

-- +goose Down
ALTER TABLE block DROP COLUMN until;
ALTER TABLE block DROP COLUMN since;
