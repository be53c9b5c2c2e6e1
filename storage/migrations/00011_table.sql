-- +goose Up

ALTER TABLE recipe ADD COLUMN tags TEXT NOT NULL DEFAULT ''; -- words, parted by blanks

ALTER TABLE lot ADD COLUMN best TEXT NOT NULL DEFAULT ''; -- best before, 2027-09-01; empty when not said

-- What is cooked when. The time of serving is an instant, so that a move of zone
-- does not move supper of last week; a meal without a time has a day only.
CREATE TABLE meal (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    day       TEXT NOT NULL,
    at        INTEGER,          -- when it is served; NULL when only the day is known
    recipe    TEXT NOT NULL COLLATE NOCASE, -- a recipe's name, or plain words
    portions  REAL NOT NULL DEFAULT 0, -- at the table; 0 for whoever is there
    away      REAL NOT NULL DEFAULT 0, -- to give
    way       TEXT NOT NULL DEFAULT '', -- how it is cooked: "slow cooker low 480"
    began     INTEGER, -- the cooking went on then
    over      INTEGER NOT NULL DEFAULT 0,
    UNIQUE (household, num)
) STRICT;
CREATE INDEX meal_day ON meal (household, day);

-- The sourdough jar: what is in it now.
CREATE TABLE jar (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    grams     REAL NOT NULL,
    hydration REAL NOT NULL DEFAULT 1, -- water to flour, by weight
    place     TEXT NOT NULL DEFAULT 'counter',
    celsius   REAL NOT NULL DEFAULT 20, -- where it stands
    since     INTEGER, -- stands there since
    fed       INTEGER,
    ratio     TEXT NOT NULL DEFAULT '', -- of the last feed: "1:2:2"
    seed      REAL NOT NULL DEFAULT 0, -- kept at a feed
    UNIQUE (household)
) STRICT;

-- How long feeds took to peak: what the jar's own pace is learnt from.
CREATE TABLE peak (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    at        INTEGER NOT NULL,
    ratio     TEXT NOT NULL,
    celsius   REAL NOT NULL,
    hours     REAL NOT NULL
) STRICT;

-- What has to be got.
CREATE TABLE toget (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    item      TEXT NOT NULL COLLATE NOCASE, -- what it is called, without an amount
    wanted    TEXT NOT NULL,          -- as it is shown: "2 x 400 g tins tomatoes"
    section   TEXT NOT NULL DEFAULT '',
    whence    TEXT NOT NULL DEFAULT '', -- for which dishes
    added     INTEGER NOT NULL,
    got       INTEGER,
    person    INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX toget_open ON toget (household, got);

-- What somebody must not eat: people of the household by name, and neighbours.
CREATE TABLE allergy (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    what      TEXT NOT NULL,
    UNIQUE (household, name, what)
) STRICT;

-- How much somebody eats, against what the table says for the age.
CREATE TABLE appetite (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    person    INTEGER NOT NULL REFERENCES person (id),
    factor    REAL NOT NULL,
    sex       TEXT NOT NULL DEFAULT '',
    activity  TEXT NOT NULL DEFAULT '',
    UNIQUE (household, person)
) STRICT;

-- +goose Down
DROP TABLE appetite;
DROP TABLE allergy;
DROP TABLE toget;
DROP TABLE peak;
DROP TABLE jar;
DROP TABLE meal;
ALTER TABLE lot DROP COLUMN best;
ALTER TABLE recipe DROP COLUMN tags;
