-- +goose Up

-- Where a line was typed, when that is not the household's own chat.
ALTER TABLE inbox ADD COLUMN chat TEXT NOT NULL DEFAULT '';

-- What waits, waits for one chat: the household's own, or one person's (chat).
-- rank says what goes first there; step, how much of it the service has taken.
ALTER TABLE outbox ADD COLUMN chat TEXT NOT NULL DEFAULT '';
ALTER TABLE outbox ADD COLUMN rank INTEGER NOT NULL DEFAULT 0;
ALTER TABLE outbox ADD COLUMN step INTEGER NOT NULL DEFAULT 0;
DROP INDEX outbox_unsent;
CREATE INDEX outbox_unsent ON outbox (household, chat, rank, id) WHERE sent IS NULL;

-- What waits already: an answer goes where its line was typed, which the line's own
-- id tells ("m:CHAT:MESSAGE:..."; a person's chat has a positive number), and a ring
-- to the chat of its person.
UPDATE outbox SET chat = coalesce((
    SELECT 'tg:' || CAST(substr(i.ext, 3) AS INTEGER) FROM inbox i
    WHERE i.id = outbox.inbox AND i.transport = 'telegram' AND CAST(substr(i.ext, 3) AS INTEGER) > 0), '')
WHERE sent IS NULL AND json_extract(body, '$.kind') = 'reply';
UPDATE outbox SET chat = coalesce((
    SELECT a.account FROM account a JOIN person p ON p.id = a.person
    WHERE a.household = outbox.household AND p.name = json_extract(outbox.body, '$.to') AND a.private AND NOT a.shared AND NOT p.gone ORDER BY a.id LIMIT 1), '')
WHERE sent IS NULL AND json_extract(body, '$.kind') = 'ring';

-- +goose Down
DROP INDEX outbox_unsent;
CREATE INDEX outbox_unsent ON outbox (household, id) WHERE sent IS NULL;
ALTER TABLE outbox DROP COLUMN step;
ALTER TABLE outbox DROP COLUMN rank;
ALTER TABLE outbox DROP COLUMN chat;
ALTER TABLE inbox DROP COLUMN chat;
