-- +goose Up
-- Instants are INTEGER seconds UTC. Wall times and dates are TEXT in ISO 8601.
-- Every table carries its household, so that no query can cross from one to
-- another by forgetting a join. Numbers that people see are "num", counted per
-- household.

CREATE TABLE household (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL GENERATED ALWAYS AS (id) VIRTUAL,
    chat      TEXT NOT NULL UNIQUE,
    founded   INTEGER NOT NULL,
    numbers   INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE setting (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    key       TEXT NOT NULL,
    value     TEXT NOT NULL,
    UNIQUE (household, key)
) STRICT;

CREATE TABLE person (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    role      TEXT NOT NULL CHECK (role IN ('keeper', 'hand')),
    age       INTEGER,
    age_on    TEXT,
    gone      INTEGER NOT NULL DEFAULT 0,
    UNIQUE (household, name)
) STRICT;

CREATE TABLE inbox (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    transport TEXT NOT NULL,
    ext       TEXT NOT NULL,
    name      TEXT NOT NULL,
    at        INTEGER NOT NULL,
    text      TEXT NOT NULL,
    UNIQUE (household, transport, ext)
) STRICT;

CREATE TABLE outbox (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    inbox     INTEGER REFERENCES inbox (id),
    at        INTEGER NOT NULL,
    body      TEXT NOT NULL,
    sent      INTEGER
) STRICT;
CREATE INDEX outbox_unsent ON outbox (household, id) WHERE sent IS NULL;

CREATE TABLE entry (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    inbox     INTEGER REFERENCES inbox (id),
    person    INTEGER REFERENCES person (id),
    typed_by  INTEGER REFERENCES person (id),
    happened  INTEGER NOT NULL,
    written   INTEGER NOT NULL,
    kind      TEXT NOT NULL,
    about     TEXT NOT NULL DEFAULT '',
    text      TEXT NOT NULL,
    fixed     INTEGER NOT NULL DEFAULT 0,
    undone    INTEGER
) STRICT;
CREATE INDEX entry_house ON entry (household, id);

-- What to run to take an entry back, newest first. Filled by triggers on every
-- table that holds records; "writing" names the entry being written.
CREATE TABLE change (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    entry     INTEGER NOT NULL REFERENCES entry (id),
    tbl       TEXT NOT NULL,
    row       INTEGER NOT NULL,
    undo      TEXT NOT NULL
) STRICT;
CREATE INDEX change_entry ON change (entry);
CREATE INDEX change_row ON change (tbl, row);

CREATE TABLE writing (
    id        INTEGER PRIMARY KEY CHECK (id = 1),
    household INTEGER,
    entry     INTEGER
) STRICT;
INSERT INTO writing (id) VALUES (1);

CREATE TABLE bell (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    num       INTEGER NOT NULL,
    title     TEXT NOT NULL,
    hint      TEXT NOT NULL DEFAULT '',
    whom      TEXT NOT NULL,
    schedule  TEXT NOT NULL DEFAULT '',
    next      INTEGER,
    due       INTEGER,
    remain    INTEGER,
    until     INTEGER,
    safety    INTEGER NOT NULL DEFAULT 0,
    daily     INTEGER NOT NULL DEFAULT 0,
    useful    INTEGER NOT NULL,
    subject   TEXT NOT NULL DEFAULT '',
    step      TEXT NOT NULL DEFAULT '',
    why       TEXT NOT NULL DEFAULT '',
    made      INTEGER NOT NULL,
    stopped   INTEGER,
    UNIQUE (household, num)
) STRICT;
CREATE INDEX bell_next ON bell (next) WHERE next IS NOT NULL;
CREATE INDEX bell_house ON bell (household, next) WHERE stopped IS NULL;
CREATE INDEX bell_subject ON bell (household, subject) WHERE subject <> '';

CREATE TABLE ring (
    id          INTEGER PRIMARY KEY,
    household   INTEGER NOT NULL REFERENCES household (id),
    num         INTEGER NOT NULL,
    bell        INTEGER NOT NULL REFERENCES bell (id) ON DELETE CASCADE,
    due         INTEGER NOT NULL,
    whom        TEXT NOT NULL,
    wake        INTEGER,
    said        INTEGER NOT NULL DEFAULT 0,
    last_said   INTEGER,
    answer      TEXT,
    answered    INTEGER,
    answered_by INTEGER REFERENCES person (id),
    UNIQUE (household, num),
    UNIQUE (bell, due)
) STRICT;
CREATE INDEX ring_wake ON ring (wake) WHERE wake IS NOT NULL;
CREATE INDEX ring_open ON ring (household, bell) WHERE answer IS NULL;

-- The last question put to a person, so that the answer may be one word.
CREATE TABLE question (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    at        INTEGER NOT NULL,
    options   TEXT NOT NULL,
    UNIQUE (household, name)
) STRICT;

-- +goose Down
DROP TABLE question;
DROP TABLE ring;
DROP TABLE bell;
DROP TABLE writing;
DROP TABLE change;
DROP TABLE entry;
DROP TABLE outbox;
DROP TABLE inbox;
DROP TABLE person;
DROP TABLE setting;
DROP TABLE household;
