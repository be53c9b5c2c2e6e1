-- +goose Up

-- Work that comes round. What rings for it are bells with the subject chore:NUM;
-- they say for whom and when.
CREATE TABLE chore (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    name      TEXT NOT NULL COLLATE NOCASE,
    minutes   INTEGER NOT NULL,           -- how long it takes
    effort    INTEGER NOT NULL DEFAULT 0, -- what it counts for; 0 for its minutes
    least     INTEGER NOT NULL DEFAULT 0, -- least age set by a keeper; 0 for the usual one
    allowed   TEXT NOT NULL DEFAULT '',   -- people below the usual age of whom a keeper said yes: "5,6"
    place     TEXT NOT NULL DEFAULT '',
    how       TEXT NOT NULL CHECK (how IN ('one', 'several', 'free', 'turn', 'days', 'least')),
    made      INTEGER NOT NULL,
    stopped   INTEGER,
    UNIQUE (household, num)
) STRICT;

-- What was done, by whom, and who shares the debt of it: those who were there for
-- it, each with their percent of a full share ("3:100 4:50").
CREATE TABLE work (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    chore     INTEGER NOT NULL,           -- its number
    ring      INTEGER,                    -- which ring it answered; NULL when it had not rung
    due       INTEGER NOT NULL,
    at        INTEGER NOT NULL,
    effort    INTEGER NOT NULL,
    doers     TEXT NOT NULL,              -- "3,4"
    free      TEXT NOT NULL
) STRICT;
CREATE INDEX work_house ON work (household, at);
CREATE UNIQUE INDEX work_ring ON work (household, ring) WHERE ring IS NOT NULL;

-- An offer to take turns of each other, or one of them, that waits for a yes.
CREATE TABLE trade (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    chore     INTEGER NOT NULL,           -- its number
    giver     INTEGER NOT NULL REFERENCES person (id),
    taker     INTEGER NOT NULL REFERENCES person (id),
    gives     INTEGER NOT NULL,           -- when the giver's turn is
    takes     INTEGER,                    -- when the taker's turn is; NULL for a gift
    asked     INTEGER NOT NULL REFERENCES person (id), -- whose yes is waited for
    made      INTEGER NOT NULL,
    settled   INTEGER
) STRICT;

ALTER TABLE bell ADD COLUMN swaps TEXT NOT NULL DEFAULT ''; -- who does single occurrences instead: "1803456000:4 1803542400:3"
ALTER TABLE bell ADD COLUMN rest  TEXT NOT NULL DEFAULT ''; -- days on which it does not ring

ALTER TABLE person ADD COLUMN share    INTEGER NOT NULL DEFAULT 100; -- percent of a full share of the chores
ALTER TABLE person ADD COLUMN birthday TEXT NOT NULL DEFAULT '';     -- "05-04"; no turns fall on it
ALTER TABLE person ADD COLUMN off      TEXT NOT NULL DEFAULT 'off';  -- days without chores

-- +goose Down
ALTER TABLE person DROP COLUMN off;
ALTER TABLE person DROP COLUMN birthday;
ALTER TABLE person DROP COLUMN share;
ALTER TABLE bell DROP COLUMN rest;
ALTER TABLE bell DROP COLUMN swaps;
DROP TABLE trade;
DROP TABLE work;
DROP TABLE chore;
