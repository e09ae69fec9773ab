-- Strokes heard in the sound, readiness, drawn signs, rulings on the ladder,
-- consent, and the list of what was handed out.

ALTER TABLE player ADD COLUMN consent_from TEXT NOT NULL DEFAULT '';
ALTER TABLE player ADD COLUMN consent_until TEXT NOT NULL DEFAULT '';
ALTER TABLE player ADD COLUMN consent_by TEXT NOT NULL DEFAULT '';
ALTER TABLE player ADD COLUMN delete_after TEXT NOT NULL DEFAULT '';

ALTER TABLE turn ADD COLUMN settled INTEGER NOT NULL DEFAULT 0 CHECK (settled IN (0, 1));
ALTER TABLE turn ADD COLUMN anchor INTEGER;                    -- ticks; null: nobody said
ALTER TABLE turn ADD COLUMN heard_from REAL NOT NULL DEFAULT 0 CHECK (heard_from BETWEEN 0 AND 1);

ALTER TABLE stroke ADD COLUMN ready_frame INTEGER CHECK (ready_frame >= 0);
ALTER TABLE stroke ADD COLUMN ready_ticks INTEGER CHECK ((ready_ticks IS NULL) = (ready_frame IS NULL));
ALTER TABLE stroke ADD COLUMN answer REAL;                     -- seconds on clip time

-- Not a reference: when the stroke goes, its marks hang on the nearest again.
ALTER TABLE mark ADD COLUMN stroke_id TEXT NOT NULL DEFAULT '';
ALTER TABLE mark ADD COLUMN sign TEXT CHECK (sign IN ('arrow', 'circle'));
ALTER TABLE mark ADD COLUMN sign_x1 REAL;
ALTER TABLE mark ADD COLUMN sign_y1 REAL;
ALTER TABLE mark ADD COLUMN sign_x2 REAL;
ALTER TABLE mark ADD COLUMN sign_y2 REAL;

CREATE TABLE ruling (
  id        TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  player_id TEXT NOT NULL REFERENCES player (id) DEFERRABLE INITIALLY DEFERRED,
  drill_id  TEXT NOT NULL REFERENCES drill (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id  TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED,
  date      TEXT NOT NULL,
  passed    INTEGER NOT NULL CHECK (passed IN (0, 1)),
  reason    TEXT NOT NULL,
  author    TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX ruling_by_player ON ruling (player_id) WHERE gone = 0;

-- Contacts heard in clips by fingerprint: a cache that may be emptied any time.
CREATE TABLE heard (
  fingerprint TEXT PRIMARY KEY NOT NULL,
  data        BLOB NOT NULL
) STRICT;

-- Documents and reels written so far, and whom they show. Not part of the change
-- log: undoing a mark does not take a file back.
CREATE TABLE export (
  path   TEXT PRIMARY KEY NOT NULL,
  format TEXT NOT NULL,
  made   INTEGER NOT NULL -- microseconds since 1970, UTC
) STRICT;
CREATE TABLE export_player (
  path      TEXT NOT NULL REFERENCES export (path) ON DELETE CASCADE,
  player_id TEXT NOT NULL,
  PRIMARY KEY (path, player_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX export_by_player ON export_player (player_id);
