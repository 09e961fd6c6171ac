-- +goose Up
-- What is to be clipped how. A plan belongs to a draft and to the groom that is
-- signed from it; both have the same key.
CREATE TABLE cut_plan (
    key        TEXT    PRIMARY KEY, -- of the draft and of the groom
    author_id  INTEGER NOT NULL REFERENCES person (id),
    version    INTEGER NOT NULL, -- 1 up, each save adds 1
    body       TEXT    NOT NULL, -- JSON of the cut plan
    updated_at INTEGER NOT NULL  -- unix seconds
);
-- +goose StatementBegin
CREATE TRIGGER cut_plan_no_update BEFORE UPDATE ON cut_plan WHEN EXISTS (SELECT 1 FROM groom WHERE groom.key = OLD.key)
BEGIN SELECT RAISE(ABORT, 'the cut plan of a signed groom is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER cut_plan_no_delete BEFORE DELETE ON cut_plan WHEN EXISTS (SELECT 1 FROM groom WHERE groom.key = OLD.key)
BEGIN SELECT RAISE(ABORT, 'the cut plan of a signed groom is never changed'); END;
-- +goose StatementEnd
