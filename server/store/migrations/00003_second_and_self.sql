-- +goose Up
-- A second rating names the groom it rates again; before, only its text did.
ALTER TABLE groom ADD COLUMN second_of_id INTEGER REFERENCES groom (id);
DROP TRIGGER groom_no_update;
UPDATE groom SET second_of_id = (SELECT first.id FROM groom first WHERE first.key = json_extract(groom.body, '$.SecondOf'))
WHERE json_extract(groom.body, '$.SecondOf') <> '';
-- +goose StatementBegin
CREATE TRIGGER groom_no_update BEFORE UPDATE ON groom BEGIN SELECT RAISE(ABORT, 'a signed groom is never changed'); END;
-- +goose StatementEnd
CREATE INDEX groom_second ON groom (second_of_id) WHERE second_of_id IS NOT NULL;

-- Who has looked at the marks of which groom: after that, neither a second
-- rating nor an apprentice's own is made without knowing them.
CREATE TABLE groom_opened (
    groom_id  INTEGER NOT NULL REFERENCES groom (id),
    person_id INTEGER NOT NULL REFERENCES person (id),
    at        INTEGER NOT NULL, -- unix seconds
    PRIMARY KEY (groom_id, person_id)
);
CREATE INDEX groom_opened_person ON groom_opened (person_id, groom_id);

-- An apprentice's own levels, given before the marks were shown.
CREATE TABLE self_rating (
    groom_id   INTEGER NOT NULL REFERENCES groom (id),
    criterion  TEXT    NOT NULL,
    level      INTEGER NOT NULL CHECK (level BETWEEN 1 AND 5), -- L1-L5
    created_at INTEGER NOT NULL, -- unix seconds
    PRIMARY KEY (groom_id, criterion)
);
-- +goose StatementBegin
CREATE TRIGGER groom_opened_no_update BEFORE UPDATE ON groom_opened BEGIN SELECT RAISE(ABORT, 'what was opened is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER groom_opened_no_delete BEFORE DELETE ON groom_opened BEGIN SELECT RAISE(ABORT, 'what was opened is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER self_rating_no_update BEFORE UPDATE ON self_rating BEGIN SELECT RAISE(ABORT, 'a self-rating is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER self_rating_no_delete BEFORE DELETE ON self_rating BEGIN SELECT RAISE(ABORT, 'a self-rating is never changed'); END;
-- +goose StatementEnd
