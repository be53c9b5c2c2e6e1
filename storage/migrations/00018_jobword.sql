-- +goose Up

-- What was said of a job that a desk hands in by itself (a batch to pour, seed to sow): who
-- does it, when, or that it is not done.
CREATE TABLE jobword (
    id        INTEGER PRIMARY KEY,
    household INTEGER NOT NULL REFERENCES household (id),
    key       TEXT NOT NULL,               -- soap:card, garden:leek:sow
    mins      INTEGER NOT NULL DEFAULT 0,  -- how long it takes; 0 as its desk says
    whom      TEXT NOT NULL DEFAULT '',    -- see reminders.Whom; empty as its desk says
    since     TEXT NOT NULL DEFAULT '',    -- not before that day
    due       TEXT NOT NULL DEFAULT '',    -- by that day
    pin       TEXT NOT NULL DEFAULT '',    -- the wall time at which it begins, where somebody set it
    dropped   INTEGER NOT NULL DEFAULT 0,  -- 1: it is not done
    made      INTEGER NOT NULL,
    UNIQUE (household, key)
) STRICT;

-- What moved a job, and where it stood before: an entry that is taken back puts it there
-- again.
ALTER TABLE laid ADD COLUMN mover INTEGER NOT NULL DEFAULT 0; -- the entry; 0 for none, -1 when it was taken back
ALTER TABLE laid ADD COLUMN from_first INTEGER NOT NULL DEFAULT 0;
ALTER TABLE laid ADD COLUMN from_past INTEGER NOT NULL DEFAULT 0;
ALTER TABLE laid ADD COLUMN from_who TEXT NOT NULL DEFAULT '';

-- +goose Down
ALTER TABLE laid DROP COLUMN from_who;
ALTER TABLE laid DROP COLUMN from_past;
ALTER TABLE laid DROP COLUMN from_first;
ALTER TABLE laid DROP COLUMN mover;
DROP TABLE jobword;
