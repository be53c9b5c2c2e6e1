-- +goose Up

-- What a lot's amounts count stays in "volume", so that older entries can still be
-- taken back: 0 grams, 1 millilitres, 2 pieces. Of pieces, what one is and holds.
ALTER TABLE lot ADD COLUMN each    TEXT NOT NULL DEFAULT '';   -- tin, jar, bag; empty for the thing itself
ALTER TABLE lot ADD COLUMN size    REAL NOT NULL DEFAULT 0;    -- what one holds; 0 when not said
ALTER TABLE lot ADD COLUMN sizedim INTEGER NOT NULL DEFAULT 0; -- 0 grams, 1 millilitres
ALTER TABLE lot ADD COLUMN hold    INTEGER;                    -- not to be eaten or drunk until; NULL for none
ALTER TABLE lot ADD COLUMN holdwhy TEXT NOT NULL DEFAULT '';

-- Who expects a child. Private: nothing in the group may show it.
ALTER TABLE person ADD COLUMN expecting INTEGER NOT NULL DEFAULT 0;
ALTER TABLE person ADD COLUMN due       TEXT NOT NULL DEFAULT ''; -- the last day of it; empty until told otherwise

-- Other households, by name: they have no access to the chat.
CREATE TABLE neighbour (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    name      TEXT NOT NULL COLLATE NOCASE,
    since     INTEGER NOT NULL,
    UNIQUE (household, name)
) STRICT;

-- What went out of the house and what came in, with whom: one row a thing.
CREATE TABLE dealing (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    at        INTEGER NOT NULL,
    way       TEXT NOT NULL,             -- gave, sold, swapped, lent, picked, put up, paid
    out       INTEGER NOT NULL,          -- 1 out of the house, 0 into it
    neighbour INTEGER REFERENCES neighbour (id),
    item      TEXT NOT NULL COLLATE NOCASE, -- empty for money
    each      TEXT NOT NULL DEFAULT '',
    dim       INTEGER NOT NULL,          -- 0 grams, 1 millilitres, 2 pieces, 3 money
    amount    REAL NOT NULL,
    owed      INTEGER NOT NULL DEFAULT 0 -- counts in what is owed: out, they owe it; in, we do
) STRICT;
CREATE INDEX dealing_house ON dealing (household, at);

-- What a dealing took of which lot.
ALTER TABLE draw ADD COLUMN dealing INTEGER REFERENCES dealing (id) ON DELETE CASCADE;

-- Things that are lent: they come back, and are not used up.
CREATE TABLE loan (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    neighbour INTEGER NOT NULL REFERENCES neighbour (id),
    item      TEXT NOT NULL COLLATE NOCASE,
    ours      INTEGER NOT NULL,          -- 1 ours and with them, 0 theirs and with us
    since     INTEGER NOT NULL,
    back      INTEGER
) STRICT;
CREATE INDEX loan_open ON loan (household, back);

ALTER TABLE toget ADD COLUMN shop TEXT NOT NULL DEFAULT ''; -- where it is got; empty for wherever
ALTER TABLE toget ADD COLUMN why  TEXT NOT NULL DEFAULT ''; -- what put it on the list, when no person did

-- +goose Down
ALTER TABLE toget DROP COLUMN why;
ALTER TABLE toget DROP COLUMN shop;
DROP TABLE loan;
ALTER TABLE draw DROP COLUMN dealing;
DROP TABLE dealing;
DROP TABLE neighbour;
ALTER TABLE person DROP COLUMN due;
ALTER TABLE person DROP COLUMN expecting;
ALTER TABLE lot DROP COLUMN holdwhy;
ALTER TABLE lot DROP COLUMN hold;
ALTER TABLE lot DROP COLUMN sizedim;
ALTER TABLE lot DROP COLUMN size;
ALTER TABLE lot DROP COLUMN each;
