-- What coaches draw on the pictures of clips, see picture.Drawing. Places are JSON.
CREATE TABLE drawing (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id     TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id    TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  mark_id     TEXT NOT NULL, -- '': on its own
  frame       INTEGER NOT NULL CHECK (frame BETWEEN first AND last),
  ticks       INTEGER NOT NULL,
  first       INTEGER NOT NULL CHECK (first >= 0),
  last        INTEGER NOT NULL,
  first_ticks INTEGER NOT NULL,
  last_ticks  INTEGER NOT NULL,
  kind        TEXT NOT NULL CHECK (kind IN ('line', 'arrow', 'circle', 'angle', 'free', 'text')),
  places      TEXT NOT NULL CHECK (json_type(places) = 'array'),
  text        TEXT NOT NULL,
  author TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX drawing_by_clip ON drawing (clip_id, frame) WHERE gone = 0;
