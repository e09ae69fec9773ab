-- Rulers: where a clip shows the table, as a coach has clicked it and as the picture's
-- lines show it. Both are JSON objects, see sighting.Outline; the camera is worked out from
-- them each time, in a millisecond. A clip has one at most, with the clip's own ID.
CREATE TABLE ruler (
  id       TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id  TEXT NOT NULL CHECK (clip_id = id) REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  frame    INTEGER NOT NULL CHECK (frame >= 0),
  ticks    INTEGER NOT NULL,
  width    INTEGER NOT NULL CHECK (width > 0),  -- pixels
  height   INTEGER NOT NULL CHECK (height > 0), -- pixels
  wide     INTEGER NOT NULL CHECK (wide IN (0, 1)),
  clicked  TEXT NOT NULL CHECK (json_type(clicked) = 'object'),
  snapped  TEXT CHECK (json_type(snapped) = 'object'), -- null: not pulled onto the lines
  support  REAL NOT NULL CHECK (support BETWEEN 0 AND 1),
  good     INTEGER NOT NULL CHECK (good IN (0, 1)),
  author   TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
