-- +goose Up
-- Who signed, where that is not the assessor: somebody else's correction. Whoever
-- watched the dog stays the assessor.
ALTER TABLE groom ADD COLUMN signer_id INTEGER REFERENCES person (id);

-- A hold goes with its incident to the groom that corrects the first.
CREATE TABLE hold_moved (
    hold_id  INTEGER NOT NULL REFERENCES hold (id),
    groom_id INTEGER NOT NULL REFERENCES groom (id),
    PRIMARY KEY (hold_id, groom_id)
);

-- The grooms a sign-off rests on.
CREATE TABLE signoff_evidence (
    signoff_id INTEGER NOT NULL REFERENCES signoff (id),
    groom_id   INTEGER NOT NULL REFERENCES groom (id),
    PRIMARY KEY (signoff_id, groom_id)
);
CREATE INDEX signoff_evidence_groom ON signoff_evidence (groom_id);
INSERT INTO signoff_evidence (signoff_id, groom_id)
SELECT DISTINCT signoff.id, groom.id FROM signoff, json_each(signoff.evidence, '$.Counted') counted JOIN groom ON groom.key = json_extract(counted.value, '$.Groom');

-- Reviews that were held. One about observations that are used up begins a new
-- series of them.
CREATE TABLE review (
    id            INTEGER PRIMARY KEY,
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    skill         TEXT    NOT NULL,
    about         INTEGER NOT NULL CHECK (about IN (1, 2, 4)), -- about: 1 = observations used up, 2 = faults after sign-off, 4 = corrected evidence
    day           INTEGER NOT NULL, -- day
    reviewed_by   INTEGER NOT NULL REFERENCES person (id),
    note          TEXT    NOT NULL, -- what was agreed
    created_at    INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX review_apprentice ON review (apprentice_id, skill, id);

-- +goose StatementBegin
CREATE TRIGGER hold_moved_no_update BEFORE UPDATE ON hold_moved BEGIN SELECT RAISE(ABORT, 'where a hold belongs is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER hold_moved_no_delete BEFORE DELETE ON hold_moved BEGIN SELECT RAISE(ABORT, 'where a hold belongs is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER signoff_evidence_no_update BEFORE UPDATE ON signoff_evidence BEGIN SELECT RAISE(ABORT, 'what a sign-off rests on is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER signoff_evidence_no_delete BEFORE DELETE ON signoff_evidence BEGIN SELECT RAISE(ABORT, 'what a sign-off rests on is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER review_no_update BEFORE UPDATE ON review BEGIN SELECT RAISE(ABORT, 'a review is never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER review_no_delete BEFORE DELETE ON review BEGIN SELECT RAISE(ABORT, 'a review is never changed'); END;
-- +goose StatementEnd
