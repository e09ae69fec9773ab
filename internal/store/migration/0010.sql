-- Pairings: a clip that shows the same minutes as another of its session, from another
-- place, and how their clocks lie to each other, see alignment.Pairing. A clip has one at
-- most, with the clip's own ID.
CREATE TABLE pairing (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id     TEXT NOT NULL CHECK (clip_id = id) REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  on_id       TEXT NOT NULL CHECK (on_id <> id) REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id    TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  start_at    REAL NOT NULL,                        -- seconds of the other clip at which this one is at 0
  drift       REAL NOT NULL,                        -- of one
  start_half  REAL NOT NULL CHECK (start_half >= 0), -- half widths, 95 %
  drift_half  REAL NOT NULL CHECK (drift_half >= 0),
  matched     INTEGER NOT NULL CHECK (matched >= 0), -- sharp sounds
  author TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX pairing_on ON pairing (on_id);

-- In the picture of which other clip of that moment a fault was seen, where it was not the
-- mark's own. Not a reference: the mark stays when that clip goes.
ALTER TABLE mark ADD COLUMN seen_id TEXT NOT NULL DEFAULT '';
