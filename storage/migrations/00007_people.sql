-- +goose Up

-- The service numbers messages within a chat: a number without its chat is
-- nobody's. Of a private chat each message is kept, with the household that it
-- came from.
CREATE TABLE shown_in (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    chat      TEXT NOT NULL,
    key       TEXT NOT NULL, -- of a board, or which rings a copy tells; empty for anything else
    message   INTEGER NOT NULL,
    UNIQUE (household, chat, message)
) STRICT;
INSERT INTO shown_in (id, household, chat, key, message) SELECT s.id, s.household, h.chat, s.key, s.message FROM shown s JOIN household h ON h.id = s.household WHERE true
    ON CONFLICT (household, chat, message) DO NOTHING;
DROP TABLE shown;
ALTER TABLE shown_in RENAME TO shown;
CREATE INDEX shown_key ON shown (household, chat, key);
CREATE INDEX shown_message ON shown (chat, message);

-- The button whose press was this line, once it acted: nobody's press that was
-- refused uses a button up.
ALTER TABLE inbox ADD COLUMN button TEXT;
UPDATE inbox SET button = ext WHERE transport = 'telegram' AND ext LIKE 'c:%';
CREATE UNIQUE INDEX inbox_button ON inbox (household, button) WHERE button IS NOT NULL;

-- A key made for whoever lives in the terminal so far; any other founds a
-- household.
ALTER TABLE housekey ADD COLUMN own INTEGER NOT NULL DEFAULT 0;

-- Lines whose file has not been fetched yet.
CREATE TABLE document (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    ext       TEXT NOT NULL,
    at        INTEGER NOT NULL,
    file      TEXT NOT NULL, -- the service's name of it
    line      TEXT NOT NULL, -- JSON
    UNIQUE (household, ext)
) STRICT;

-- +goose Down
DROP TABLE document;
ALTER TABLE housekey DROP COLUMN own;
DROP INDEX inbox_button;
ALTER TABLE inbox DROP COLUMN button;
DROP INDEX shown_key;
CREATE TABLE shown_in (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    key       TEXT NOT NULL,
    message   INTEGER NOT NULL,
    UNIQUE (household, key)
) STRICT;
INSERT OR REPLACE INTO shown_in (household, key, message) SELECT household, key, message FROM shown WHERE key LIKE 'rings %' ORDER BY id;
DROP TABLE shown;
ALTER TABLE shown_in RENAME TO shown;
CREATE INDEX shown_message ON shown (household, message);
