-- +goose Up

-- Backups that the household asked for, made or failed.
CREATE TABLE backup (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    at        INTEGER NOT NULL,
    file      TEXT NOT NULL,            -- where it is
    bytes     INTEGER NOT NULL DEFAULT 0,
    failed    TEXT NOT NULL DEFAULT ''  -- why there is none; empty when it was made
) STRICT;
CREATE INDEX backup_house ON backup (household, at);

-- +goose Down
DROP TABLE backup;
