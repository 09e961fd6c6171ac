-- +goose Up
-- What apprentices say to the marks of their grooms: that they have read them, or
-- that they disagree. It changes no mark.
CREATE TABLE acknowledgement (
    id         INTEGER PRIMARY KEY,
    groom_id   INTEGER NOT NULL REFERENCES groom (id),
    disagrees  INTEGER NOT NULL CHECK (disagrees IN (0, 1)), -- 1 = yes; 0 = read, which is not agreeing
    words      TEXT    NOT NULL, -- the apprentice's own; never exported
    created_at INTEGER NOT NULL, -- unix seconds
    UNIQUE (groom_id, disagrees)
);

-- An assessor's one answer to a disagreement.
CREATE TABLE acknowledgement_answer (
    acknowledgement_id INTEGER PRIMARY KEY REFERENCES acknowledgement (id),
    answered_by        INTEGER NOT NULL REFERENCES person (id),
    words              TEXT    NOT NULL, -- never exported
    created_at         INTEGER NOT NULL  -- unix seconds
);

-- +goose StatementBegin
CREATE TRIGGER acknowledgement_no_update BEFORE UPDATE ON acknowledgement BEGIN SELECT RAISE(ABORT, 'what was said to the marks is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER acknowledgement_no_delete BEFORE DELETE ON acknowledgement BEGIN SELECT RAISE(ABORT, 'what was said to the marks is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER acknowledgement_answer_no_update BEFORE UPDATE ON acknowledgement_answer BEGIN SELECT RAISE(ABORT, 'an answer is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER acknowledgement_answer_no_delete BEFORE DELETE ON acknowledgement_answer BEGIN SELECT RAISE(ABORT, 'an answer is never changed'); END;
-- +goose StatementEnd
