-- +goose Up

-- The last weigh-out card of each person, to pour from.
CREATE TABLE card (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    at        INTEGER NOT NULL,
    recipe    TEXT NOT NULL,
    UNIQUE (household, name)
) STRICT;

CREATE TABLE batch (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    name      TEXT NOT NULL DEFAULT '',
    recipe    TEXT NOT NULL,
    poured    INTEGER NOT NULL,
    poured_by INTEGER REFERENCES person (id),
    UNIQUE (household, num)
) STRICT;

CREATE TABLE weighing (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    batch     INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
    at        INTEGER NOT NULL,
    grams     REAL NOT NULL
) STRICT;
CREATE INDEX weighing_batch ON weighing (batch, at);

-- A room closed to children. Not tied to its batch: taking the batch back does
-- not make the room safe.
CREATE TABLE rope (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    room      TEXT NOT NULL,
    since     INTEGER NOT NULL,
    bell      INTEGER REFERENCES bell (id),
    cleared   INTEGER
) STRICT;
CREATE INDEX rope_open ON rope (household) WHERE cleared IS NULL;

-- +goose Down
DROP TABLE rope;
DROP TABLE weighing;
DROP TABLE batch;
DROP TABLE card;
