-- +goose Up
-- Which page saved a draft last, and at which try. A save whose answer was lost
-- is known again by it, and an older try that arrives late changes nothing.
ALTER TABLE draft ADD COLUMN save_id TEXT NOT NULL DEFAULT '';    -- made by the page; empty = saved by a button
ALTER TABLE draft ADD COLUMN save_try INTEGER NOT NULL DEFAULT 0; -- 1 up, rises with each try of the page; 0 = saved by a button
