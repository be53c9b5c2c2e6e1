-- +goose Up

ALTER TABLE meal ADD COLUMN ahead INTEGER; -- its work begins then, hours before it is served, and it is cooled between; NULL when it is cooked for the time of serving

-- +goose Down

ALTER TABLE meal DROP COLUMN ahead;
