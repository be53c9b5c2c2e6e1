-- +goose Up

-- The fixed blocks of the household's day: who is where, from when until when.
CREATE TABLE block (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    title     TEXT NOT NULL COLLATE NOCASE, -- school, supper, quiet work
    first     INTEGER NOT NULL,             -- minutes after midnight
    past      INTEGER NOT NULL,             -- minutes after midnight; not after first: it runs into the next day
    days      INTEGER NOT NULL,             -- bit 0 Sunday to bit 6 Saturday
    whom      TEXT NOT NULL,                -- see reminders.Whom
    place     TEXT NOT NULL DEFAULT '',     -- where they are; empty when not said
    open      INTEGER NOT NULL DEFAULT 0    -- 1: time that is kept for jobs
) STRICT;
CREATE INDEX block_house ON block (household, first);

-- What was said of one day: a block that is off or at another time, wet or dry.
CREATE TABLE dayword (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    day       TEXT NOT NULL,
    kind      TEXT NOT NULL CHECK (kind IN ('off', 'moved', 'wet', 'dry')),
    title     TEXT NOT NULL DEFAULT '' COLLATE NOCASE, -- of the block; empty for the weather
    first     INTEGER NOT NULL DEFAULT 0,
    past      INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX dayword_house ON dayword (household, day);

-- The household's own open jobs.
CREATE TABLE job (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,             -- counted by household
    title     TEXT NOT NULL,
    mins      INTEGER NOT NULL,             -- how long it takes
    near      INTEGER NOT NULL,             -- 1: children may be near
    whom      TEXT NOT NULL DEFAULT '',     -- see reminders.Whom; empty for any adult
    needs     TEXT NOT NULL DEFAULT '',     -- dry daylight kitchen oven lye help, parted by spaces
    since     TEXT NOT NULL DEFAULT '',     -- not before that day
    due       TEXT NOT NULL DEFAULT '',     -- by that day
    pin       TEXT NOT NULL DEFAULT '',     -- the wall time at which it begins, where somebody set it
    made      INTEGER NOT NULL,
    closed    INTEGER,
    outcome   TEXT NOT NULL DEFAULT '',     -- done, dropped
    UNIQUE (household, num)
) STRICT;

-- Run-ups: lists of offsets from a day, kept by name and used again.
CREATE TABLE runup (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    steps     TEXT NOT NULL,                -- one a line: days before or after, a tab, what
    UNIQUE (household, name)
) STRICT;

-- What is to be otherwise next time, by what it hangs on.
CREATE TABLE nexttime (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    about     TEXT NOT NULL COLLATE NOCASE, -- recipe:oatcakes, crop:leek, soap, day:butcher day
    text      TEXT NOT NULL,
    made      INTEGER NOT NULL,
    person    INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX nexttime_house ON nexttime (household, about);

-- Where each open job was laid last, so that a day laid anew keeps what it can. It is
-- worked out of the rest and not taken back with an entry.
CREATE TABLE laid (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    key       TEXT NOT NULL,                -- job:3, garden:leek:sow
    title     TEXT NOT NULL,
    first     INTEGER NOT NULL,             -- 0 where it fits nowhere
    past      INTEGER NOT NULL,
    who       TEXT NOT NULL DEFAULT '',     -- ids parted by commas
    moved     INTEGER NOT NULL DEFAULT 0,   -- on how many days it was not done and moved on
    counted   TEXT NOT NULL DEFAULT '',     -- the last of those days
    why       TEXT NOT NULL DEFAULT '',
    UNIQUE (household, key)
) STRICT;

-- When a household's day is next told or looked back on.
CREATE TABLE watch (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL UNIQUE REFERENCES household (id),
    next      INTEGER NOT NULL
) STRICT;
CREATE INDEX watch_next ON watch (next);

-- +goose Down
DROP TABLE watch;
DROP TABLE laid;
DROP TABLE nexttime;
DROP TABLE runup;
DROP TABLE job;
DROP TABLE dayword;
DROP TABLE block;
