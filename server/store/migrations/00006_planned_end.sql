-- +goose Up
-- The day on which an apprenticeship is planned to end.
ALTER TABLE person ADD COLUMN end_day INTEGER NOT NULL DEFAULT 0; -- day; 0 = none planned
