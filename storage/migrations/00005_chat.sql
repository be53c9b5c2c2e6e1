-- +goose Up

-- Which account of a chat service is which person.
CREATE TABLE account (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    person    INTEGER NOT NULL REFERENCES person (id),
    account   TEXT NOT NULL,
    private   INTEGER NOT NULL DEFAULT 0, -- has written to the bot in a chat of its own, and is told there too
    shared    INTEGER NOT NULL DEFAULT 0, -- a tablet that everyone uses: says who speaks with each line
    UNIQUE (household, account)
) STRICT;
CREATE INDEX account_name ON account (account);

-- One-time keys that make a chat a household's, kept as a hash.
CREATE TABLE housekey (
    id        INTEGER PRIMARY KEY,
    household INTEGER REFERENCES household (id),
    hash      TEXT NOT NULL UNIQUE,
    made      INTEGER NOT NULL,
    used      INTEGER
) STRICT;

-- The service's own number of a message that is edited in place.
CREATE TABLE shown (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    key       TEXT NOT NULL,
    message   INTEGER NOT NULL,
    UNIQUE (household, key)
) STRICT;
CREATE INDEX shown_message ON shown (household, message);

-- Lines of buttons that are longer than the service takes with a button.
CREATE TABLE press (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    say       TEXT NOT NULL,
    UNIQUE (household, say)
) STRICT;

-- Chats of nobody's household that have had their one polite line.
CREATE TABLE stranger (
    id        INTEGER PRIMARY KEY,
    household INTEGER,
    chat      TEXT NOT NULL UNIQUE,
    at        INTEGER NOT NULL
) STRICT;

-- +goose Down
DROP TABLE stranger;
DROP TABLE press;
DROP TABLE shown;
DROP TABLE housekey;
DROP TABLE account;
