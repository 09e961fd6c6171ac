-- +goose Up
-- The apprentices' logbooks. An entry is its apprentice's word; it becomes
-- observations when whoever was there countersigns it.
CREATE TABLE logbook_entry (
    id            INTEGER PRIMARY KEY,
    key           TEXT    NOT NULL UNIQUE,
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    supervisor_id INTEGER REFERENCES person (id), -- who was there, as the apprentice says; empty when nobody was
    day           INTEGER NOT NULL, -- day
    dog           TEXT    NOT NULL,
    coat          TEXT    NOT NULL,
    grams         INTEGER NOT NULL, -- weight in g; 0 = not taken
    skills        TEXT    NOT NULL, -- ids of what was done, a blank between
    level         INTEGER NOT NULL CHECK (level BETWEEN 1 AND 5), -- L1-L5, as the apprentice sees it
    outcome       INTEGER NOT NULL CHECK (outcome IN (1, 2)),     -- outcome: 1 = as planned, 2 = something went wrong
    words         TEXT    NOT NULL, -- one line; never exported
    created_at    INTEGER NOT NULL, -- unix seconds
    CHECK (apprentice_id <> supervisor_id)
);
CREATE INDEX logbook_entry_apprentice ON logbook_entry (apprentice_id, day, id);
CREATE INDEX logbook_entry_supervisor ON logbook_entry (supervisor_id) WHERE supervisor_id IS NOT NULL;

CREATE TABLE logbook_decision (
    entry_id   INTEGER PRIMARY KEY REFERENCES logbook_entry (id),
    decision   INTEGER NOT NULL CHECK (decision IN (1, 2)), -- decision: 1 = countersigned, 2 = not as it was
    decided_by INTEGER NOT NULL REFERENCES person (id),
    reason     TEXT    NOT NULL, -- why it was not so; never exported
    created_at INTEGER NOT NULL  -- unix seconds
);

-- +goose StatementBegin
CREATE TRIGGER logbook_entry_no_update BEFORE UPDATE ON logbook_entry BEGIN SELECT RAISE(ABORT, 'a logbook entry is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER logbook_entry_no_delete BEFORE DELETE ON logbook_entry BEGIN SELECT RAISE(ABORT, 'a logbook entry is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER logbook_decision_no_update BEFORE UPDATE ON logbook_decision BEGIN SELECT RAISE(ABORT, 'what was said to an entry is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER logbook_decision_no_delete BEFORE DELETE ON logbook_decision BEGIN SELECT RAISE(ABORT, 'what was said to an entry is never changed'); END;
-- +goose StatementEnd
