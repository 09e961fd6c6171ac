-- +goose Up
-- Photos of a groom. A draft and the groom signed from it have the same key, so a
-- draft's photos are its groom's without being touched.
CREATE TABLE photo (
    id         INTEGER PRIMARY KEY,
    key        TEXT    NOT NULL UNIQUE,
    salon_id   INTEGER NOT NULL REFERENCES salon (id),
    groom_key  TEXT    NOT NULL,
    kind       TEXT    NOT NULL CHECK (kind IN ('before', 'after', 'other')),
    digest     TEXT    NOT NULL, -- SHA-256 of the large picture, hex
    added_by   INTEGER NOT NULL REFERENCES person (id),
    created_at INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX photo_groom ON photo (groom_key, id);
CREATE INDEX photo_added ON photo (added_by, created_at);

-- The pictures stand apart: a list never reads them, and they go when a photo is
-- taken down, while its row stays.
CREATE TABLE photo_picture (
    photo_id INTEGER PRIMARY KEY REFERENCES photo (id),
    large    BLOB NOT NULL CHECK (length(large) BETWEEN 1 AND 1048576), -- JPEG, long edge at most 1600 px
    small    BLOB NOT NULL CHECK (length(small) BETWEEN 1 AND 1048576)  -- JPEG, long edge at most 320 px
);

CREATE TABLE photo_withdrawn (
    photo_id     INTEGER PRIMARY KEY REFERENCES photo (id),
    withdrawn_by INTEGER NOT NULL REFERENCES person (id),
    reason       TEXT    NOT NULL, -- empty where the groom was not signed yet
    created_at   INTEGER NOT NULL  -- unix seconds
);

-- +goose StatementBegin
CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER photo_withdrawn_no_update BEFORE UPDATE ON photo_withdrawn BEGIN SELECT RAISE(ABORT, 'a withdrawal is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER photo_withdrawn_no_delete BEFORE DELETE ON photo_withdrawn BEGIN SELECT RAISE(ABORT, 'a withdrawal is never changed'); END;
-- +goose StatementEnd
