-- +goose Up

-- The flock book: an animal with a name, or a group of a kind. How many there are
-- is the sum of what came and went (headcount).
CREATE TABLE herd (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    kind      TEXT NOT NULL,            -- hen, goat, sow, piglet
    name      TEXT NOT NULL DEFAULT '', -- Berta; empty for the kind's own group
    breed     TEXT NOT NULL DEFAULT '',
    born      TEXT NOT NULL DEFAULT '', -- the day of hatch or birth; empty when not told
    UNIQUE (household, num)
) STRICT;

-- What came into a group and what left it, with the day on which it did.
CREATE TABLE headcount (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    herd      INTEGER NOT NULL REFERENCES herd (id) ON DELETE CASCADE,
    day       TEXT NOT NULL,
    change    INTEGER NOT NULL,
    how       TEXT NOT NULL,            -- counted, bought, hatched, sold, fox
    whom      TEXT NOT NULL DEFAULT ''  -- with whom
) STRICT;
CREATE INDEX headcount_herd ON headcount (household, herd, day);

-- Eggs, one row a collection, by the day on which they were laid.
CREATE TABLE egg (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    day       TEXT NOT NULL,
    at        INTEGER NOT NULL,         -- when it was told
    kind      TEXT NOT NULL,            -- of which birds: hen, duck
    herd      INTEGER REFERENCES herd (id) ON DELETE SET NULL,
    person    INTEGER REFERENCES person (id),
    laid      INTEGER NOT NULL,         -- the broken ones too
    broken    INTEGER NOT NULL DEFAULT 0,
    aside     INTEGER NOT NULL DEFAULT 0, -- set aside to hatch
    lot       INTEGER REFERENCES lot (id) ON DELETE SET NULL -- where they went in the larder
) STRICT;
CREATE INDEX egg_day ON egg (household, day, kind, laid); -- a day's sum without its rows

-- A drop in laying that was told, so that it is told once.
CREATE TABLE alarm (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    kind      TEXT NOT NULL,
    day       TEXT NOT NULL,
    why       TEXT NOT NULL,
    UNIQUE (household, kind, day)
) STRICT;

-- What is fed or bedded with. Masses in grams.
CREATE TABLE fodder (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    pack      TEXT NOT NULL DEFAULT 'sack', -- sack or bale
    grams     REAL NOT NULL DEFAULT 0,  -- of one pack, 0 when not told
    eaters    TEXT NOT NULL DEFAULT '', -- the kinds that it is for, parted by commas
    lead      INTEGER NOT NULL DEFAULT 4, -- days from the bell to the day on which it runs out
    UNIQUE (household, name)
) STRICT;

-- What happened to a feed: bought and left in grams, opened one pack.
CREATE TABLE fodderflow (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    fodder    INTEGER NOT NULL REFERENCES fodder (id) ON DELETE CASCADE,
    day       TEXT NOT NULL,
    how       TEXT NOT NULL,            -- bought, left, opened, used
    grams     REAL NOT NULL,
    packs     REAL NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX fodderflow_fodder ON fodderflow (household, fodder, day);

-- Days on which nothing can be bought: one day, or a weekday when day is empty.
CREATE TABLE closed (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    day       TEXT NOT NULL DEFAULT '',
    weekday   INTEGER NOT NULL DEFAULT -1,
    UNIQUE (household, day, weekday)
) STRICT;

-- A service and what came of it, or eggs that were set.
CREATE TABLE mating (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    herd      INTEGER REFERENCES herd (id) ON DELETE SET NULL,
    species   TEXT NOT NULL,            -- as the table of gestation calls it
    breed     TEXT NOT NULL DEFAULT '',
    name      TEXT NOT NULL,            -- whom or what it is called: the sow, Clover, 12 hen eggs
    sire      TEXT NOT NULL DEFAULT '',
    since     TEXT NOT NULL,            -- the day of service, or the first day with the male
    until     TEXT NOT NULL,            -- the last; the same for one service
    eggs      INTEGER NOT NULL DEFAULT 0, -- set; 0 for a pregnancy
    under     TEXT NOT NULL DEFAULT '', -- broody, incubator, still air
    over      TEXT NOT NULL DEFAULT '', -- the day that it ended
    fate      TEXT NOT NULL DEFAULT '', -- born, hatched, returned, lost
    born      INTEGER NOT NULL DEFAULT 0, -- alive
    dead      INTEGER NOT NULL DEFAULT 0,
    young     INTEGER REFERENCES herd (id) ON DELETE SET NULL,
    weaned    TEXT NOT NULL DEFAULT '',
    UNIQUE (household, num)
) STRICT;

-- Weights, in grams.
CREATE TABLE liveweight (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    herd      INTEGER REFERENCES herd (id) ON DELETE CASCADE,
    name      TEXT NOT NULL,
    day       TEXT NOT NULL,
    grams     REAL NOT NULL,
    how       TEXT NOT NULL             -- tape, scale
) STRICT;

-- Treatments with the label's withdrawal as typed. Hours and days; NULL is not told,
-- and below 0 never.
CREATE TABLE treatment (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    kind      TEXT NOT NULL,
    herd      INTEGER REFERENCES herd (id) ON DELETE SET NULL,
    name      TEXT NOT NULL,            -- whom it was given to
    what      TEXT NOT NULL,            -- the product or the work, as typed
    at        INTEGER NOT NULL,         -- the last dose
    egg_days  REAL,
    milk_hours REAL,
    meat_days REAL
) STRICT;
CREATE INDEX treatment_at ON treatment (household, at);

-- +goose Down
DROP TABLE treatment;
DROP TABLE liveweight;
DROP TABLE mating;
DROP TABLE closed;
DROP TABLE fodderflow;
DROP TABLE fodder;
DROP TABLE alarm;
DROP TABLE egg;
DROP TABLE headcount;
DROP TABLE herd;
