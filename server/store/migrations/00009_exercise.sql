-- +goose Up
-- Questions on the choice of blades, as they were asked: drawn from a seed that no
-- page is sent, and kept, so that a later program asks nobody else's questions.
CREATE TABLE exercise (
    id            INTEGER PRIMARY KEY,
    key           TEXT    NOT NULL UNIQUE,
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    programme_id  INTEGER NOT NULL REFERENCES programme (id),
    seed          INTEGER NOT NULL, -- 1 up; what the questions were drawn from
    questions     TEXT    NOT NULL, -- JSON
    created_at    INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX exercise_apprentice ON exercise (apprentice_id, id);

CREATE TABLE exercise_result (
    exercise_id INTEGER PRIMARY KEY REFERENCES exercise (id),
    day         INTEGER NOT NULL, -- day
    answers     TEXT    NOT NULL, -- JSON: position of the answer to each question, from 0
    percent     INTEGER NOT NULL CHECK (percent BETWEEN 0 AND 100), -- right answers, %, cut off
    created_at  INTEGER NOT NULL  -- unix seconds
);

-- An assessor who knows whose answers they are lets a result stand as a knowledge
-- check; only then is there an observation.
CREATE TABLE exercise_adoption (
    exercise_id INTEGER PRIMARY KEY REFERENCES exercise (id),
    adopted_by  INTEGER NOT NULL REFERENCES person (id),
    day         INTEGER NOT NULL, -- day
    how         TEXT    NOT NULL, -- how they know
    created_at  INTEGER NOT NULL  -- unix seconds
);

-- +goose StatementBegin
CREATE TRIGGER exercise_no_update BEFORE UPDATE ON exercise BEGIN SELECT RAISE(ABORT, 'what was asked is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER exercise_no_delete BEFORE DELETE ON exercise BEGIN SELECT RAISE(ABORT, 'what was asked is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER exercise_result_no_update BEFORE UPDATE ON exercise_result BEGIN SELECT RAISE(ABORT, 'a result is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER exercise_result_no_delete BEFORE DELETE ON exercise_result BEGIN SELECT RAISE(ABORT, 'a result is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER exercise_adoption_no_update BEFORE UPDATE ON exercise_adoption BEGIN SELECT RAISE(ABORT, 'who let a result stand is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER exercise_adoption_no_delete BEFORE DELETE ON exercise_adoption BEGIN SELECT RAISE(ABORT, 'who let a result stand is never changed'); END;
-- +goose StatementEnd
