-- +goose Up

-- What is in stock, as it was bought or put up, oldest used first. Counted in
-- grams; what is bought by volume is counted in millilitres (volume = 1).
CREATE TABLE lot (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    item      TEXT NOT NULL COLLATE NOCASE,
    code      TEXT NOT NULL DEFAULT '', -- the maker's lot number
    got       INTEGER NOT NULL,
    amount    REAL NOT NULL,
    remains   REAL NOT NULL,
    volume    INTEGER NOT NULL DEFAULT 0,
    cost      REAL,                     -- of the whole lot, in the household's money
    whence    TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX lot_item ON lot (household, item, got);

-- What a batch took of which lot.
CREATE TABLE draw (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    lot       INTEGER NOT NULL REFERENCES lot (id) ON DELETE CASCADE,
    batch     INTEGER REFERENCES batch (id) ON DELETE CASCADE,
    amount    REAL NOT NULL
) STRICT;
CREATE INDEX draw_batch ON draw (batch);
CREATE INDEX draw_lot ON draw (lot);

-- The household's own saponification value of a fat, from a supplier's
-- certificate or its own titration, in mg potassium hydroxide per gram.
CREATE TABLE ownfat (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    low       REAL NOT NULL,
    typical   REAL NOT NULL,
    high      REAL NOT NULL,
    UNIQUE (household, name)
) STRICT;

-- The pour under way: what has been weighed and made ready, until it is poured.
CREATE TABLE pouring (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    person    INTEGER REFERENCES person (id),
    recipe    TEXT NOT NULL,
    room      TEXT NOT NULL,
    began     INTEGER NOT NULL,
    done      TEXT NOT NULL DEFAULT '', -- what is ticked, one a line
    opened    INTEGER,                  -- when lye went into the water
    UNIQUE (household)
) STRICT;

-- Bars that left the rack.
CREATE TABLE outgo (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    batch     INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
    at        INTEGER NOT NULL,
    bars      INTEGER NOT NULL,
    how       TEXT NOT NULL,
    whom      TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX outgo_batch ON outgo (batch);

ALTER TABLE batch ADD COLUMN bars INTEGER NOT NULL DEFAULT 0; -- cut into so many; 0 when not cut or not counted

-- +goose Down
ALTER TABLE batch DROP COLUMN bars;
DROP TABLE outgo;
DROP TABLE pouring;
DROP TABLE ownfat;
DROP TABLE draw;
DROP TABLE lot;
