-- +goose Up
-- Tablets that several people share.
CREATE TABLE device (
    id          INTEGER PRIMARY KEY,
    key         TEXT    NOT NULL UNIQUE,
    salon_id    INTEGER NOT NULL REFERENCES salon (id),
    name        TEXT    NOT NULL,
    token       TEXT    NOT NULL UNIQUE, -- SHA-256 of the cookie, hex
    enrolled_by INTEGER NOT NULL REFERENCES person (id),
    enrolled_at INTEGER NOT NULL,           -- unix seconds
    seen_at     INTEGER NOT NULL,           -- unix seconds; to ten minutes
    revoked_at  INTEGER NOT NULL DEFAULT 0  -- unix seconds; 0 while enrolled
);
CREATE INDEX device_salon ON device (salon_id);

ALTER TABLE person ADD COLUMN pin TEXT NOT NULL DEFAULT ''; -- argon2id of the PIN under the key of the data folder, encoded; empty until set

-- Tries at a PIN. A row goes when the PIN or the password was right.
CREATE TABLE pin_try (
    person_id INTEGER NOT NULL REFERENCES person (id),
    device_id INTEGER NOT NULL REFERENCES device (id),
    tries     INTEGER NOT NULL, -- 1 up
    PRIMARY KEY (person_id, device_id)
);
