-- Whether marks from before a definition still mean the same has three answers, and a
-- test goes on until it is finished. See package standard.

ALTER TABLE definition ADD COLUMN older TEXT NOT NULL DEFAULT '' CHECK (older IN ('', 'same', 'other', 'unknown')); -- empty: there were none
UPDATE definition SET older = 'other' WHERE changed = 1;
ALTER TABLE definition DROP COLUMN changed;

ALTER TABLE trial ADD COLUMN seed INTEGER NOT NULL DEFAULT 0;
ALTER TABLE trial ADD COLUMN finished INTEGER; -- microseconds since 1970, UTC; null: it goes on
CREATE INDEX trial_open ON trial (id) WHERE gone = 0 AND finished IS NULL;
