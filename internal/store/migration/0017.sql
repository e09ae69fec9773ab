-- Two frames that are looked at together, by a name, see picture.Pair. What is seen of each
-- picture is JSON, see picture.View.
CREATE TABLE pair (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  coach_id    TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  name        TEXT NOT NULL,
  clip_id     TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED, -- of the left one
  frame       INTEGER NOT NULL CHECK (frame >= 0),
  ticks       INTEGER NOT NULL,
  seen        TEXT NOT NULL CHECK (json_type(seen) = 'object'),
  other_id    TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED, -- of the right one
  other_frame INTEGER NOT NULL CHECK (other_frame >= 0),
  other_ticks INTEGER NOT NULL,
  other_seen  TEXT NOT NULL CHECK (json_type(other_seen) = 'object'),
  over        INTEGER NOT NULL CHECK (over IN (0, 1)),
  divided     REAL NOT NULL CHECK (divided BETWEEN 0 AND 1),
  author TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX pair_by_clip ON pair (clip_id) WHERE gone = 0;
CREATE INDEX pair_by_other ON pair (other_id) WHERE gone = 0;
