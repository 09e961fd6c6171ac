CREATE TABLE acknowledgement (
    id         INTEGER PRIMARY KEY,
    groom_id   INTEGER NOT NULL REFERENCES groom (id),
    disagrees  INTEGER NOT NULL CHECK (disagrees IN (0, 1)), -- 1 = yes; 0 = read, which is not agreeing
    words      TEXT    NOT NULL, -- the apprentice's own; never exported
    created_at INTEGER NOT NULL, -- unix seconds
    UNIQUE (groom_id, disagrees)
);
CREATE TRIGGER acknowledgement_no_delete BEFORE DELETE ON acknowledgement BEGIN SELECT RAISE(ABORT, 'what was said to the marks is never changed'); END;
CREATE TRIGGER acknowledgement_no_update BEFORE UPDATE ON acknowledgement BEGIN SELECT RAISE(ABORT, 'what was said to the marks is never changed'); END;
CREATE TABLE acknowledgement_answer (
    acknowledgement_id INTEGER PRIMARY KEY REFERENCES acknowledgement (id),
    answered_by        INTEGER NOT NULL REFERENCES person (id),
    words              TEXT    NOT NULL, -- never exported
    created_at         INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER acknowledgement_answer_no_delete BEFORE DELETE ON acknowledgement_answer BEGIN SELECT RAISE(ABORT, 'an answer is never changed'); END;
CREATE TRIGGER acknowledgement_answer_no_update BEFORE UPDATE ON acknowledgement_answer BEGIN SELECT RAISE(ABORT, 'an answer is never changed'); END;
CREATE TABLE cut_plan (
    key        TEXT    PRIMARY KEY, -- of the draft and of the groom
    author_id  INTEGER NOT NULL REFERENCES person (id),
    version    INTEGER NOT NULL, -- 1 up, each save adds 1
    body       TEXT    NOT NULL, -- JSON of the cut plan
    updated_at INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER cut_plan_no_delete BEFORE DELETE ON cut_plan WHEN EXISTS (SELECT 1 FROM groom WHERE groom.key = OLD.key)
BEGIN SELECT RAISE(ABORT, 'the cut plan of a signed groom is never changed'); END;
CREATE TRIGGER cut_plan_no_update BEFORE UPDATE ON cut_plan WHEN EXISTS (SELECT 1 FROM groom WHERE groom.key = OLD.key)
BEGIN SELECT RAISE(ABORT, 'the cut plan of a signed groom is never changed'); END;
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
CREATE TABLE draft (
    id         INTEGER PRIMARY KEY,
    key        TEXT    NOT NULL UNIQUE,
    salon_id   INTEGER NOT NULL REFERENCES salon (id),
    author_id  INTEGER NOT NULL REFERENCES person (id),
    version    INTEGER NOT NULL, -- 1 up, each save adds 1
    body       TEXT    NOT NULL, -- JSON of the form exactly as entered
    updated_at INTEGER NOT NULL  -- unix seconds
, save_id TEXT NOT NULL DEFAULT '', save_try INTEGER NOT NULL DEFAULT 0);
CREATE INDEX draft_author ON draft (author_id, updated_at);
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
CREATE TRIGGER exercise_no_delete BEFORE DELETE ON exercise BEGIN SELECT RAISE(ABORT, 'what was asked is never changed'); END;
CREATE TRIGGER exercise_no_update BEFORE UPDATE ON exercise BEGIN SELECT RAISE(ABORT, 'what was asked is never changed'); END;
CREATE TABLE exercise_adoption (
    exercise_id INTEGER PRIMARY KEY REFERENCES exercise (id),
    adopted_by  INTEGER NOT NULL REFERENCES person (id),
    day         INTEGER NOT NULL, -- day
    how         TEXT    NOT NULL, -- how they know
    created_at  INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER exercise_adoption_no_delete BEFORE DELETE ON exercise_adoption BEGIN SELECT RAISE(ABORT, 'who let a result stand is never changed'); END;
CREATE TRIGGER exercise_adoption_no_update BEFORE UPDATE ON exercise_adoption BEGIN SELECT RAISE(ABORT, 'who let a result stand is never changed'); END;
CREATE TABLE exercise_result (
    exercise_id INTEGER PRIMARY KEY REFERENCES exercise (id),
    day         INTEGER NOT NULL, -- day
    answers     TEXT    NOT NULL, -- JSON: position of the answer to each question, from 0
    percent     INTEGER NOT NULL CHECK (percent BETWEEN 0 AND 100), -- right answers, %, cut off
    created_at  INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER exercise_result_no_delete BEFORE DELETE ON exercise_result BEGIN SELECT RAISE(ABORT, 'a result is never changed'); END;
CREATE TRIGGER exercise_result_no_update BEFORE UPDATE ON exercise_result BEGIN SELECT RAISE(ABORT, 'a result is never changed'); END;
CREATE TABLE groom (
    id            INTEGER PRIMARY KEY,
    key           TEXT    NOT NULL UNIQUE, -- the key of the draft it was signed from
    salon_id      INTEGER NOT NULL REFERENCES salon (id),
    programme_id  INTEGER NOT NULL REFERENCES programme (id),
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    assessor_id   INTEGER NOT NULL REFERENCES person (id),
    day           INTEGER NOT NULL, -- day
    dog           TEXT    NOT NULL,
    coat          TEXT    NOT NULL,
    size          TEXT    NOT NULL,
    weighted_sum  INTEGER NOT NULL, -- sum of weight x effective level
    weight        INTEGER NOT NULL, -- applicable weight, 0 to the rubric's total
    outcome       INTEGER NOT NULL CHECK (outcome BETWEEN 0 AND 2), -- outcome: 0 = incomplete, 1 = not yet, 2 = meets
    body          TEXT    NOT NULL, -- JSON of the assessed groom
    digest        TEXT    NOT NULL, -- SHA-256 of what was read back and signed, hex
    supersedes_id INTEGER UNIQUE REFERENCES groom (id),
    signed_at     INTEGER NOT NULL, second_of_id INTEGER REFERENCES groom (id), signer_id INTEGER REFERENCES person (id), -- unix seconds
    CHECK (apprentice_id <> assessor_id)
);
CREATE INDEX groom_apprentice ON groom (apprentice_id, day, id);
CREATE INDEX groom_correction ON groom (salon_id, supersedes_id, key) WHERE supersedes_id IS NOT NULL;
CREATE INDEX groom_salon ON groom (salon_id, day, id);
CREATE INDEX groom_second ON groom (second_of_id) WHERE second_of_id IS NOT NULL;
CREATE TRIGGER groom_no_delete BEFORE DELETE ON groom BEGIN SELECT RAISE(ABORT, 'a signed groom is never changed'); END;
CREATE TRIGGER groom_no_update BEFORE UPDATE ON groom BEGIN SELECT RAISE(ABORT, 'a signed groom is never changed'); END;
CREATE TABLE groom_opened (
    groom_id  INTEGER NOT NULL REFERENCES groom (id),
    person_id INTEGER NOT NULL REFERENCES person (id),
    at        INTEGER NOT NULL, -- unix seconds
    PRIMARY KEY (groom_id, person_id)
);
CREATE INDEX groom_opened_person ON groom_opened (person_id, groom_id);
CREATE TRIGGER groom_opened_no_delete BEFORE DELETE ON groom_opened BEGIN SELECT RAISE(ABORT, 'what was opened is never changed'); END;
CREATE TRIGGER groom_opened_no_update BEFORE UPDATE ON groom_opened BEGIN SELECT RAISE(ABORT, 'what was opened is never changed'); END;
CREATE TABLE hold (
    id            INTEGER PRIMARY KEY,
    key           TEXT    NOT NULL UNIQUE,
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    groom_id      INTEGER NOT NULL REFERENCES groom (id),
    scope         TEXT    NOT NULL CHECK (scope IN ('skill', 'unit', 'safety')),
    unit          TEXT    NOT NULL,
    skill         TEXT    NOT NULL,
    severity      TEXT    NOT NULL,
    recorded_by   INTEGER NOT NULL REFERENCES person (id),
    from_day      INTEGER NOT NULL, -- day
    created_at    INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX hold_apprentice ON hold (apprentice_id);
CREATE TRIGGER hold_no_delete BEFORE DELETE ON hold BEGIN SELECT RAISE(ABORT, 'a hold is never changed'); END;
CREATE TRIGGER hold_no_update BEFORE UPDATE ON hold BEGIN SELECT RAISE(ABORT, 'a hold is never changed'); END;
CREATE TABLE hold_moved (
    hold_id  INTEGER NOT NULL REFERENCES hold (id),
    groom_id INTEGER NOT NULL REFERENCES groom (id),
    PRIMARY KEY (hold_id, groom_id)
);
CREATE TRIGGER hold_moved_no_delete BEFORE DELETE ON hold_moved BEGIN SELECT RAISE(ABORT, 'where a hold belongs is never changed'); END;
CREATE TRIGGER hold_moved_no_update BEFORE UPDATE ON hold_moved BEGIN SELECT RAISE(ABORT, 'where a hold belongs is never changed'); END;
CREATE TABLE hold_release (
    hold_id     INTEGER PRIMARY KEY REFERENCES hold (id),
    released_by INTEGER NOT NULL REFERENCES person (id),
    day         INTEGER NOT NULL, -- day
    reason      TEXT    NOT NULL,
    created_at  INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER hold_release_no_delete BEFORE DELETE ON hold_release BEGIN SELECT RAISE(ABORT, 'a release is never changed'); END;
CREATE TRIGGER hold_release_no_update BEFORE UPDATE ON hold_release BEGIN SELECT RAISE(ABORT, 'a release is never changed'); END;
CREATE TABLE incident (
    id            INTEGER PRIMARY KEY,
    groom_id      INTEGER NOT NULL REFERENCES groom (id),
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    day           INTEGER NOT NULL, -- day
    kind          TEXT    NOT NULL,
    severity      TEXT    NOT NULL,
    attribution   TEXT    NOT NULL,
    skill         TEXT    NOT NULL,
    self_reported INTEGER NOT NULL CHECK (self_reported IN (0, 1)), -- 1 = yes: the apprentice told of it unasked
    note          TEXT    NOT NULL  -- never exported
);
CREATE INDEX incident_apprentice ON incident (apprentice_id, day);
CREATE INDEX incident_groom ON incident (groom_id);
CREATE TRIGGER incident_no_delete BEFORE DELETE ON incident BEGIN SELECT RAISE(ABORT, 'an incident is never changed'); END;
CREATE TRIGGER incident_no_update BEFORE UPDATE ON incident BEGIN SELECT RAISE(ABORT, 'an incident is never changed'); END;
CREATE TABLE logbook_decision (
    entry_id   INTEGER PRIMARY KEY REFERENCES logbook_entry (id),
    decision   INTEGER NOT NULL CHECK (decision IN (1, 2)), -- decision: 1 = countersigned, 2 = not as it was
    decided_by INTEGER NOT NULL REFERENCES person (id),
    reason     TEXT    NOT NULL, -- why it was not so; never exported
    created_at INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER logbook_decision_no_delete BEFORE DELETE ON logbook_decision BEGIN SELECT RAISE(ABORT, 'what was said to an entry is never changed'); END;
CREATE TRIGGER logbook_decision_no_update BEFORE UPDATE ON logbook_decision BEGIN SELECT RAISE(ABORT, 'what was said to an entry is never changed'); END;
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
CREATE TRIGGER logbook_entry_no_delete BEFORE DELETE ON logbook_entry BEGIN SELECT RAISE(ABORT, 'a logbook entry is never changed'); END;
CREATE TRIGGER logbook_entry_no_update BEFORE UPDATE ON logbook_entry BEGIN SELECT RAISE(ABORT, 'a logbook entry is never changed'); END;
CREATE TABLE observation (
    id            INTEGER PRIMARY KEY,
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    skill         TEXT    NOT NULL,
    day           INTEGER NOT NULL, -- day
    assessor_id   INTEGER NOT NULL REFERENCES person (id),
    groom_id      INTEGER REFERENCES groom (id),
    source        INTEGER NOT NULL CHECK (source BETWEEN 0 AND 4), -- source: 0 = formal, 1 = logbook, 2 = self, 3 = simulation, 4 = check
    level         INTEGER NOT NULL CHECK (level BETWEEN 0 AND 5),  -- L1-L5; 0 for a check
    percent       INTEGER NOT NULL CHECK (percent BETWEEN 0 AND 100), -- result of a check, %
    dog           TEXT    NOT NULL,
    coat          TEXT    NOT NULL,
    size          TEXT    NOT NULL,
    style         TEXT    NOT NULL,
    severity      TEXT    NOT NULL, -- worst incident under the skill, or empty
    attribution   TEXT    NOT NULL
);
CREATE INDEX observation_evidence ON observation
    (apprentice_id, skill, day, id, assessor_id, groom_id, source, level, percent, dog, coat, size, style, severity, attribution);
CREATE TRIGGER observation_no_delete BEFORE DELETE ON observation BEGIN SELECT RAISE(ABORT, 'an observation is never changed'); END;
CREATE TRIGGER observation_no_update BEFORE UPDATE ON observation BEGIN SELECT RAISE(ABORT, 'an observation is never changed'); END;
CREATE TABLE permission (
    id            INTEGER PRIMARY KEY,
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    skill         TEXT    NOT NULL,
    level         INTEGER NOT NULL CHECK (level BETWEEN 1 AND 5), -- P1-P5
    set_by        INTEGER NOT NULL REFERENCES person (id),
    day           INTEGER NOT NULL, -- day
    reason        TEXT    NOT NULL,
    created_at    INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX permission_apprentice ON permission (apprentice_id, skill, id);
CREATE TRIGGER permission_no_delete BEFORE DELETE ON permission BEGIN SELECT RAISE(ABORT, 'a permission is never changed'); END;
CREATE TRIGGER permission_no_update BEFORE UPDATE ON permission BEGIN SELECT RAISE(ABORT, 'a permission is never changed'); END;
CREATE TABLE person (
    id         INTEGER PRIMARY KEY,
    key        TEXT    NOT NULL UNIQUE,
    salon_id   INTEGER NOT NULL REFERENCES salon (id),
    name       TEXT    NOT NULL,
    login      TEXT    NOT NULL UNIQUE,
    role       TEXT    NOT NULL CHECK (role IN ('head_groomer', 'assessor', 'apprentice', 'auditor')),
    password   TEXT    NOT NULL DEFAULT '', -- argon2id, encoded; empty until set
    code       TEXT    NOT NULL DEFAULT '', -- SHA-256 of a one-time code, hex; empty when used
    code_until INTEGER NOT NULL DEFAULT 0,  -- unix seconds
    start_day  INTEGER NOT NULL DEFAULT 0,  -- day; 0 unless an apprentice
    left_day   INTEGER NOT NULL DEFAULT 0,  -- day; 0 while here
    created_at INTEGER NOT NULL             -- unix seconds
, end_day INTEGER NOT NULL DEFAULT 0, pin TEXT NOT NULL DEFAULT '');
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
CREATE INDEX photo_added ON photo (added_by, created_at);
CREATE INDEX photo_groom ON photo (groom_key, id);
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
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
CREATE TRIGGER photo_withdrawn_no_delete BEFORE DELETE ON photo_withdrawn BEGIN SELECT RAISE(ABORT, 'a withdrawal is never changed'); END;
CREATE TRIGGER photo_withdrawn_no_update BEFORE UPDATE ON photo_withdrawn BEGIN SELECT RAISE(ABORT, 'a withdrawal is never changed'); END;
CREATE TABLE phrase_list (
    id         INTEGER PRIMARY KEY,
    salon_id   INTEGER NOT NULL REFERENCES salon (id),
    phrases    TEXT    NOT NULL, -- JSON: lists of texts by the field they go into
    set_by     INTEGER NOT NULL REFERENCES person (id),
    created_at INTEGER NOT NULL  -- unix seconds
);
CREATE INDEX phrase_list_salon ON phrase_list (salon_id, id);
CREATE TRIGGER phrase_list_no_delete BEFORE DELETE ON phrase_list BEGIN SELECT RAISE(ABORT, 'a list of phrases is never changed'); END;
CREATE TRIGGER phrase_list_no_update BEFORE UPDATE ON phrase_list BEGIN SELECT RAISE(ABORT, 'a list of phrases is never changed'); END;
CREATE TABLE pin_try (
    person_id INTEGER NOT NULL REFERENCES person (id),
    device_id INTEGER NOT NULL REFERENCES device (id),
    tries     INTEGER NOT NULL, -- 1 up
    PRIMARY KEY (person_id, device_id)
);
CREATE TABLE programme (
    id           INTEGER PRIMARY KEY,
    ident        TEXT    NOT NULL,
    version      INTEGER NOT NULL, -- 1, 2, 3 ...
    digest       TEXT    NOT NULL, -- SHA-256 of source, hex
    source       BLOB    NOT NULL, -- the YAML file exactly as read
    published_at INTEGER NOT NULL, -- unix seconds
    UNIQUE (ident, version)
);
CREATE TRIGGER programme_no_delete BEFORE DELETE ON programme BEGIN SELECT RAISE(ABORT, 'a published programme is never changed'); END;
CREATE TRIGGER programme_no_update BEFORE UPDATE ON programme BEGIN SELECT RAISE(ABORT, 'a published programme is never changed'); END;
CREATE TABLE rating (
    groom_id       INTEGER NOT NULL REFERENCES groom (id),
    criterion      TEXT    NOT NULL,
    weight         INTEGER NOT NULL, -- weight of the criterion in this version, 1 up
    given          INTEGER NOT NULL CHECK (given BETWEEN 0 AND 5),     -- level; 0 = not seen
    effective      INTEGER NOT NULL CHECK (effective BETWEEN 0 AND 5), -- level that counts
    not_applicable INTEGER NOT NULL CHECK (not_applicable IN (0, 1)), -- 1 = yes: left out on purpose
    PRIMARY KEY (groom_id, criterion)
);
CREATE TRIGGER rating_no_delete BEFORE DELETE ON rating BEGIN SELECT RAISE(ABORT, 'a rating is never changed'); END;
CREATE TRIGGER rating_no_update BEFORE UPDATE ON rating BEGIN SELECT RAISE(ABORT, 'a rating is never changed'); END;
CREATE TABLE record (
    id        INTEGER PRIMARY KEY,
    salon_id  INTEGER NOT NULL,
    at        INTEGER NOT NULL, -- unix seconds
    person_id INTEGER NOT NULL, -- who did it; 0 = the program
    kind      TEXT    NOT NULL,
    subject   TEXT    NOT NULL, -- public key of what changed
    detail    TEXT    NOT NULL  -- JSON
);
CREATE INDEX record_subject ON record (subject);
CREATE TRIGGER record_no_delete BEFORE DELETE ON record BEGIN SELECT RAISE(ABORT, 'the record is never changed'); END;
CREATE TRIGGER record_no_update BEFORE UPDATE ON record BEGIN SELECT RAISE(ABORT, 'the record is never changed'); END;
CREATE TABLE reply (
    person_id  INTEGER NOT NULL REFERENCES person (id),
    client_id  TEXT    NOT NULL, -- chosen by the page
    location   TEXT    NOT NULL, -- where the first answer led
    created_at INTEGER NOT NULL, -- unix seconds
    PRIMARY KEY (person_id, client_id)
);
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
CREATE TRIGGER review_no_delete BEFORE DELETE ON review BEGIN SELECT RAISE(ABORT, 'a review is never changed'); END;
CREATE TRIGGER review_no_update BEFORE UPDATE ON review BEGIN SELECT RAISE(ABORT, 'a review is never changed'); END;
CREATE TABLE salon (
    id           INTEGER PRIMARY KEY,
    key          TEXT    NOT NULL UNIQUE,
    name         TEXT    NOT NULL,
    zone         TEXT    NOT NULL, -- IANA time zone
    programme_id INTEGER NOT NULL REFERENCES programme (id), -- in use now
    created_at   INTEGER NOT NULL  -- unix seconds
);
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
CREATE TRIGGER salon_policy_no_delete BEFORE DELETE ON salon_policy BEGIN SELECT RAISE(ABORT, 'a policy entry is never changed'); END;
CREATE TRIGGER salon_policy_no_update BEFORE UPDATE ON salon_policy BEGIN SELECT RAISE(ABORT, 'a policy entry is never changed'); END;
CREATE TABLE self_rating (
    groom_id   INTEGER NOT NULL REFERENCES groom (id),
    criterion  TEXT    NOT NULL,
    level      INTEGER NOT NULL CHECK (level BETWEEN 1 AND 5), -- L1-L5
    created_at INTEGER NOT NULL, -- unix seconds
    PRIMARY KEY (groom_id, criterion)
);
CREATE TRIGGER self_rating_no_delete BEFORE DELETE ON self_rating BEGIN SELECT RAISE(ABORT, 'a self-rating is never changed'); END;
CREATE TRIGGER self_rating_no_update BEFORE UPDATE ON self_rating BEGIN SELECT RAISE(ABORT, 'a self-rating is never changed'); END;
CREATE TABLE session (
    token  TEXT    PRIMARY KEY, -- SHA-256 of the cookie, hex
    data   BLOB    NOT NULL,
    expiry INTEGER NOT NULL     -- unix seconds
);
CREATE TABLE signoff (
    id            INTEGER PRIMARY KEY,
    key           TEXT    NOT NULL UNIQUE,
    salon_id      INTEGER NOT NULL REFERENCES salon (id),
    apprentice_id INTEGER NOT NULL REFERENCES person (id),
    programme_id  INTEGER NOT NULL REFERENCES programme (id),
    skill         TEXT    NOT NULL,
    proposed_by   INTEGER NOT NULL REFERENCES person (id),
    day           INTEGER NOT NULL, -- day
    statement     TEXT    NOT NULL,
    evidence      TEXT    NOT NULL, -- JSON of the standing it rests on
    created_at    INTEGER NOT NULL, -- unix seconds
    CHECK (apprentice_id <> proposed_by)
);
CREATE INDEX signoff_apprentice ON signoff (apprentice_id, skill, id);
CREATE TRIGGER signoff_no_delete BEFORE DELETE ON signoff BEGIN SELECT RAISE(ABORT, 'a sign-off is never changed'); END;
CREATE TRIGGER signoff_no_update BEFORE UPDATE ON signoff BEGIN SELECT RAISE(ABORT, 'a sign-off is never changed'); END;
CREATE TABLE signoff_decision (
    signoff_id INTEGER PRIMARY KEY REFERENCES signoff (id),
    decision   INTEGER NOT NULL CHECK (decision IN (1, 2)), -- decision: 1 = confirmed, 2 = declined
    decided_by INTEGER NOT NULL REFERENCES person (id),
    day        INTEGER NOT NULL, -- day
    reason     TEXT    NOT NULL,
    created_at INTEGER NOT NULL  -- unix seconds
);
CREATE TRIGGER signoff_decision_no_delete BEFORE DELETE ON signoff_decision BEGIN SELECT RAISE(ABORT, 'a decision is never changed'); END;
CREATE TRIGGER signoff_decision_no_update BEFORE UPDATE ON signoff_decision BEGIN SELECT RAISE(ABORT, 'a decision is never changed'); END;
CREATE TABLE signoff_evidence (
    signoff_id INTEGER NOT NULL REFERENCES signoff (id),
    groom_id   INTEGER NOT NULL REFERENCES groom (id),
    PRIMARY KEY (signoff_id, groom_id)
);
CREATE INDEX signoff_evidence_groom ON signoff_evidence (groom_id);
CREATE TRIGGER signoff_evidence_no_delete BEFORE DELETE ON signoff_evidence BEGIN SELECT RAISE(ABORT, 'what a sign-off rests on is never changed'); END;
CREATE TRIGGER signoff_evidence_no_update BEFORE UPDATE ON signoff_evidence BEGIN SELECT RAISE(ABORT, 'what a sign-off rests on is never changed'); END;
