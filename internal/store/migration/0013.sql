-- How a clip's pictures are shown, see picture.Adjustment. A clip has one at most, with the
-- clip's own ID.
CREATE TABLE adjustment (
  id         TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id    TEXT NOT NULL CHECK (clip_id = id) REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  rotation   INTEGER NOT NULL CHECK (rotation BETWEEN 0 AND 3),
  mirror     INTEGER NOT NULL CHECK (mirror IN (0, 1)),
  brightness INTEGER NOT NULL CHECK (brightness BETWEEN -100 AND 100),
  contrast   INTEGER NOT NULL CHECK (contrast BETWEEN -100 AND 100),
  gamma      INTEGER NOT NULL CHECK (gamma BETWEEN -100 AND 100),
  author TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
