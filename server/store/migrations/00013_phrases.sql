-- +goose Up
-- What the assessors of a salon often write, to be put in with one touch. The
-- newest entry holds.
CREATE TABLE phrase_list (
    id         INTEGER PRIMARY KEY,
    salon_id   INTEGER NOT NULL REFERENCES salon (id),
    phrases    TEXT    NOT NULL, -- JSON: lists of texts by the field they go into
    set_by     INTEGER NOT NULL REFERENCES person (id),
    created_at INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX phrase_list_salon ON phrase_list (salon_id, id);
-- +goose StatementBegin
CREATE TRIGGER phrase_list_no_update BEFORE UPDATE ON phrase_list BEGIN SELECT RAISE(ABORT, 'a list of phrases is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER phrase_list_no_delete BEFORE DELETE ON phrase_list BEGIN SELECT RAISE(ABORT, 'a list of phrases is never changed'); END;
-- +goose StatementEnd
