-- +goose Up

-- What was sown. Days are the household's own dates, 2027-04-12; empty when they
-- have not come.
CREATE TABLE sowing (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    crop      TEXT NOT NULL,            -- as the table of crops calls it
    variety   TEXT NOT NULL DEFAULT '', -- the household's own, or the packet's
    seeds     INTEGER NOT NULL DEFAULT 0, -- 0 when not counted
    place     TEXT NOT NULL DEFAULT '',
    outdoors  INTEGER NOT NULL DEFAULT 0,
    person    INTEGER REFERENCES person (id), -- who looks after it
    sown      TEXT NOT NULL,
    up        TEXT NOT NULL DEFAULT '',
    came      INTEGER NOT NULL DEFAULT 0, -- seedlings counted
    potted    TEXT NOT NULL DEFAULT '',
    hardening TEXT NOT NULL DEFAULT '', -- the first day out
    hardened  INTEGER NOT NULL DEFAULT 0, -- days out so far
    planted   TEXT NOT NULL DEFAULT '', -- set out into the ground
    picked    TEXT NOT NULL DEFAULT '', -- the first harvest
    over      TEXT NOT NULL DEFAULT '', -- the day that it ended
    fate      TEXT NOT NULL DEFAULT '', -- how it ended
    UNIQUE (household, num)
) STRICT;

-- Packets of seed.
CREATE TABLE packet (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    crop      TEXT NOT NULL,
    variety   TEXT NOT NULL DEFAULT '',
    seeds     INTEGER NOT NULL, -- when it came; 0 when not counted
    remains   INTEGER NOT NULL,
    year      INTEGER NOT NULL, -- packed for, or saved in
    whence    TEXT NOT NULL DEFAULT '',
    over      INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX packet_crop ON packet (household, crop);

-- How many plants of a crop the household wants in a season.
CREATE TABLE wanted (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    year      INTEGER NOT NULL, -- of the season's last frost
    crop      TEXT NOT NULL,
    variety   TEXT NOT NULL DEFAULT '',
    plants    INTEGER NOT NULL,
    UNIQUE (household, year, crop, variety)
) STRICT;

-- The household's own varieties, and its own figures for a crop of the table (then
-- variety is empty). NULL is as in the table.
CREATE TABLE owncrop (
    id          INTEGER PRIMARY KEY,
    household   INTEGER NOT NULL REFERENCES household (id),
    crop        TEXT NOT NULL,
    variety     TEXT NOT NULL DEFAULT '',
    days_min    INTEGER, -- to maturity
    days_max    INTEGER,
    from_out    INTEGER, -- counted from setting out, not from sowing
    start_min   REAL,    -- weeks before the last frost
    start_max   REAL,
    set_out     REAL,    -- weeks after the last frost
    sow_out     REAL,
    germination REAL,    -- 0 to 1
    life        REAL,    -- of the seed, years
    in_row      REAL,    -- cm
    row_gap     REAL,
    UNIQUE (household, crop, variety)
) STRICT;

-- The weather file that the frost dates are computed from.
CREATE TABLE station (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL,
    series    BLOB NOT NULL, -- daily minima and maxima, packed
    UNIQUE (household)
) STRICT;

-- Forecast lows of a night, as typed, in degrees Celsius.
CREATE TABLE cold (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    night     TEXT NOT NULL, -- the day on whose evening it begins
    low       REAL NOT NULL,
    UNIQUE (household, night)
) STRICT;

-- +goose Down
DROP TABLE cold;
DROP TABLE station;
DROP TABLE owncrop;
DROP TABLE wanted;
DROP TABLE packet;
DROP TABLE sowing;
