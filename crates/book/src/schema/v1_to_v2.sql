-- Version 1 could not list a find without folding it: plate, parts, what was told last and the newest judgement were not in its row.
ALTER TABLE finds ADD COLUMN plate TEXT NOT NULL DEFAULT '';
ALTER TABLE finds ADD COLUMN parts INTEGER NOT NULL DEFAULT 0;
ALTER TABLE finds ADD COLUMN told INTEGER NOT NULL DEFAULT 0;
ALTER TABLE finds ADD COLUMN touched INTEGER NOT NULL DEFAULT 0;
ALTER TABLE finds ADD COLUMN judged INTEGER;
