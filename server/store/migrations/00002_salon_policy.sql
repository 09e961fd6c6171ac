-- +goose Up
-- What the salon has decided in writing about a disputed skill. The newest
-- entry for a skill holds; an entry with day 0 withdraws the one before.
CREATE TABLE salon_policy (
    id         INTEGER PRIMARY KEY,
    salon_id   INTEGER NOT NULL REFERENCES salon (id),
    skill      TEXT    NOT NULL,
    day        INTEGER NOT NULL, -- day of the written policy; 0 = withdrawn
    note       TEXT    NOT NULL, -- what it allows and where it is kept, or why it was withdrawn
    set_by     INTEGER NOT NULL REFERENCES person (id),
    created_at INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX salon_policy_skill ON salon_policy (salon_id, skill, id);
-- +goose StatementBegin
CREATE TRIGGER salon_policy_no_update BEFORE UPDATE ON salon_policy BEGIN SELECT RAISE(ABORT, 'a policy entry is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER salon_policy_no_delete BEFORE DELETE ON salon_policy BEGIN SELECT RAISE(ABORT, 'a policy entry is never changed'); END;
-- +goose StatementEnd
