-- +goose Up

-- What a bell may do when the day does not go as planned.
ALTER TABLE bell ADD COLUMN care    INTEGER NOT NULL DEFAULT 0; -- animals, meals, medicine: rings on a bare day, goes to others meanwhile
ALTER TABLE bell ADD COLUMN firm    INTEGER NOT NULL DEFAULT 0; -- not moved when the day runs behind: food safety, rising dough
ALTER TABLE bell ADD COLUMN elapsed INTEGER NOT NULL DEFAULT 0; -- counted in hours from an event, not on the wall clock
ALTER TABLE bell ADD COLUMN again   TEXT NOT NULL DEFAULT '';   -- its own ladder; empty for the household's
ALTER TABLE bell ADD COLUMN cost    TEXT NOT NULL DEFAULT '';   -- what waiting costs, for people
ALTER TABLE bell ADD COLUMN turn    INTEGER;                    -- who had the last turn

ALTER TABLE ring ADD COLUMN held   INTEGER NOT NULL DEFAULT 0;  -- since when the house holds it back; 0 when it does not
ALTER TABLE ring ADD COLUMN giver  TEXT NOT NULL DEFAULT '';    -- whom it was for before it went to others
ALTER TABLE ring ADD COLUMN given  TEXT NOT NULL DEFAULT '';    -- how it went to others
ALTER TABLE ring ADD COLUMN board  TEXT NOT NULL DEFAULT '';    -- the group's message that it was last told in
ALTER TABLE ring ADD COLUMN fell   INTEGER NOT NULL DEFAULT 0;  -- when it was made
ALTER TABLE ring ADD COLUMN before TEXT NOT NULL DEFAULT '';    -- the bell as it was before, to turn a wrong clock back

UPDATE bell SET care = 1 WHERE title LIKE '%feed%' OR title LIKE '%water%' OR title LIKE '%hens%' OR title LIKE '%goat%' OR title LIKE '%sow%'
    OR title LIKE '%supper%' OR title LIKE '%tablet%' OR title LIKE '%medicine%' OR safety;

CREATE INDEX ring_house_wake ON ring (household, wake) WHERE wake IS NOT NULL;
CREATE INDEX ring_board ON ring (household, board) WHERE board <> '';

-- Who is away, ill or late, from when until when.
CREATE TABLE absence (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    person    INTEGER NOT NULL REFERENCES person (id),
    kind      TEXT NOT NULL CHECK (kind IN ('away', 'ill', 'late')),
    since     INTEGER NOT NULL,
    until     INTEGER,
    stand_in  INTEGER REFERENCES person (id)
) STRICT;
CREATE INDEX absence_house ON absence (household, until);

-- A message of the group that is edited in place has a key; what cannot be
-- delivered is set aside with the reason.
ALTER TABLE outbox ADD COLUMN key    TEXT NOT NULL DEFAULT '';
ALTER TABLE outbox ADD COLUMN failed TEXT;
CREATE INDEX outbox_key ON outbox (household, key) WHERE key <> '' AND sent IS NULL;

-- Boards that show rings whose state has changed since they were posted.
CREATE TABLE redraw (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    board     TEXT NOT NULL,
    UNIQUE (household, board)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER board_redraw AFTER UPDATE OF answer, whom, wake ON ring WHEN OLD.board <> '' AND OLD.board = NEW.board AND (OLD.answer IS NOT NEW.answer OR OLD.whom <> NEW.whom OR OLD.wake IS NOT NEW.wake) BEGIN
    INSERT INTO redraw (household, board) SELECT OLD.household, OLD.board
        WHERE NOT EXISTS (SELECT 1 FROM redraw WHERE household = OLD.household AND board = OLD.board);
END;
-- +goose StatementEnd

-- Households whose settings or absences have changed: what is held back there is
-- looked at anew by the next tick. Not done to the rings here, where it would
-- become part of an entry that can be taken back. (The conflict clause of a
-- statement overrides that of its triggers, hence NOT EXISTS.)
CREATE TABLE stir (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL UNIQUE REFERENCES household (id)
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER stir_setting_insert AFTER INSERT ON setting BEGIN
    INSERT INTO stir (household) SELECT NEW.household WHERE NOT EXISTS (SELECT 1 FROM stir WHERE household = NEW.household);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER stir_setting_update AFTER UPDATE ON setting BEGIN
    INSERT INTO stir (household) SELECT NEW.household WHERE NOT EXISTS (SELECT 1 FROM stir WHERE household = NEW.household);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER stir_setting_delete AFTER DELETE ON setting BEGIN
    INSERT INTO stir (household) SELECT OLD.household WHERE NOT EXISTS (SELECT 1 FROM stir WHERE household = OLD.household);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER stir_absence_insert AFTER INSERT ON absence BEGIN
    INSERT INTO stir (household) SELECT NEW.household WHERE NOT EXISTS (SELECT 1 FROM stir WHERE household = NEW.household);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER stir_absence_update AFTER UPDATE ON absence BEGIN
    INSERT INTO stir (household) SELECT NEW.household WHERE NOT EXISTS (SELECT 1 FROM stir WHERE household = NEW.household);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER stir_absence_delete AFTER DELETE ON absence BEGIN
    INSERT INTO stir (household) SELECT OLD.household WHERE NOT EXISTS (SELECT 1 FROM stir WHERE household = OLD.household);
END;
-- +goose StatementEnd

-- The latest instant that the machine's clock has shown, and the last time that
-- it went on by more than an hour at once: an outage, or a wrong clock.
CREATE TABLE clock (
    id        INTEGER PRIMARY KEY CHECK (id = 1),
    household INTEGER,
    seen      INTEGER NOT NULL,
    jump_from INTEGER NOT NULL,
    jump_to   INTEGER NOT NULL
) STRICT;
INSERT INTO clock (id, seen, jump_from, jump_to) VALUES (1, 0, 0, 0);

-- +goose StatementBegin
CREATE TRIGGER clock_line AFTER INSERT ON inbox BEGIN
    UPDATE clock SET
        jump_from = CASE WHEN seen > 0 AND NEW.at - seen > 3600 THEN seen ELSE jump_from END,
        jump_to = CASE WHEN seen > 0 AND NEW.at - seen > 3600 THEN NEW.at ELSE jump_to END,
        seen = max(seen, NEW.at);
END;
-- +goose StatementEnd

-- +goose Down
DROP TRIGGER clock_line;
DROP TABLE clock;
DROP TRIGGER stir_absence_delete;
DROP TRIGGER stir_absence_update;
DROP TRIGGER stir_absence_insert;
DROP TRIGGER stir_setting_delete;
DROP TRIGGER stir_setting_update;
DROP TRIGGER stir_setting_insert;
DROP TABLE stir;
DROP TRIGGER board_redraw;
DROP TABLE redraw;
DROP INDEX outbox_key;
ALTER TABLE outbox DROP COLUMN failed;
ALTER TABLE outbox DROP COLUMN key;
DROP TABLE absence;
DROP INDEX ring_board;
DROP INDEX ring_house_wake;
ALTER TABLE ring DROP COLUMN before;
ALTER TABLE ring DROP COLUMN fell;
ALTER TABLE ring DROP COLUMN board;
ALTER TABLE ring DROP COLUMN given;
ALTER TABLE ring DROP COLUMN giver;
ALTER TABLE ring DROP COLUMN held;
ALTER TABLE bell DROP COLUMN turn;
ALTER TABLE bell DROP COLUMN cost;
ALTER TABLE bell DROP COLUMN again;
ALTER TABLE bell DROP COLUMN elapsed;
ALTER TABLE bell DROP COLUMN firm;
ALTER TABLE bell DROP COLUMN care;
