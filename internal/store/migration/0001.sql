-- The first schema. Every domain row carries who changed it last (author), when
-- on the library's change clock (clock: microseconds since 1970 that never run
-- backwards, so that two libraries can be brought together), and whether it is a
-- tombstone (gone). Rows are never deleted, so indices leave the tombstones out.
-- References are checked at commit: the order of edits in a change is free.

CREATE TABLE coach (
  id      TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  name    TEXT NOT NULL,
  retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
  author  TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

CREATE TABLE player (
  id         TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  name       TEXT NOT NULL,
  alias      TEXT NOT NULL,
  hand       TEXT NOT NULL CHECK (hand IN ('right', 'left')),
  group_name TEXT NOT NULL,
  note       TEXT NOT NULL,
  retired    INTEGER NOT NULL CHECK (retired IN (0, 1)),
  author     TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

CREATE TABLE drill (
  id        TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  name      TEXT NOT NULL,
  method    TEXT NOT NULL CHECK (method IN ('regular', 'irregular', 'free')),
  pattern   TEXT NOT NULL,
  placement TEXT NOT NULL CHECK (placement IN ('diagonal', 'parallel', 'free')),
  ball      TEXT NOT NULL CHECK (ball IN ('passive block', 'active block', 'multiball', 'open rally')),
  rung      INTEGER NOT NULL CHECK (rung >= 1),
  streak    INTEGER NOT NULL CHECK (streak >= 1),
  note      TEXT NOT NULL,
  retired   INTEGER NOT NULL CHECK (retired IN (0, 1)),
  author    TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

CREATE TABLE fault (
  id      TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  code    TEXT NOT NULL CHECK (code <> ''),
  label   TEXT NOT NULL,
  phase   TEXT NOT NULL CHECK (phase IN ('ready', 'footwork', 'backswing', 'contact', 'follow-through', 'recovery')),
  sides   TEXT NOT NULL CHECK (sides IN ('forehand', 'backhand', 'both')),
  cue     TEXT NOT NULL,
  weight  INTEGER NOT NULL CHECK (weight BETWEEN 1 AND 3),
  key     TEXT NOT NULL,
  retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
  author  TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

CREATE TABLE session (
  id     TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  date   TEXT NOT NULL,
  note   TEXT NOT NULL,
  author TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

CREATE TABLE clip (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  session_id  TEXT NOT NULL REFERENCES session (id) DEFERRABLE INITIALLY DEFERRED,
  name        TEXT NOT NULL,
  path        TEXT NOT NULL,
  fingerprint TEXT NOT NULL,
  bytes       INTEGER NOT NULL CHECK (bytes >= 0),
  frames      INTEGER NOT NULL CHECK (frames >= 0),
  first_ticks INTEGER NOT NULL,                       -- of the first picture
  base_num    INTEGER NOT NULL CHECK (base_num > 0), -- seconds a tick: base_num / base_den
  base_den    INTEGER NOT NULL CHECK (base_den > 0),
  seconds     REAL NOT NULL CHECK (seconds >= 0),
  width       INTEGER NOT NULL CHECK (width >= 0),
  height      INTEGER NOT NULL CHECK (height >= 0),
  author      TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX clip_by_fingerprint ON clip (fingerprint) WHERE gone = 0;
CREATE INDEX clip_by_session ON clip (session_id) WHERE gone = 0;

CREATE TABLE turn (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id     TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  player_id   TEXT NOT NULL REFERENCES player (id) DEFERRABLE INITIALLY DEFERRED,
  drill_id    TEXT NOT NULL REFERENCES drill (id) DEFERRABLE INITIALLY DEFERRED,
  first       INTEGER NOT NULL CHECK (first >= 0),    -- frame
  last        INTEGER NOT NULL CHECK (last >= first), -- frame
  first_ticks INTEGER NOT NULL,
  last_ticks  INTEGER NOT NULL,
  author      TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX turn_by_clip ON turn (clip_id, first) WHERE gone = 0;
CREATE INDEX turn_by_player ON turn (player_id) WHERE gone = 0;
CREATE INDEX turn_by_drill ON turn (drill_id) WHERE gone = 0;

CREATE TABLE stroke (
  id         TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id    TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  frame      INTEGER NOT NULL CHECK (frame >= 0),
  ticks      INTEGER NOT NULL,
  side       TEXT NOT NULL CHECK (side IN ('', 'forehand', 'backhand')),
  outcome    TEXT NOT NULL CHECK (outcome IN ('good', 'missed')),
  source     TEXT NOT NULL CHECK (source IN ('hand', 'machine')),
  confidence REAL NOT NULL CHECK (confidence BETWEEN 0 AND 1),
  coach_id   TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: nobody, found by machine
  author     TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX stroke_by_clip ON stroke (clip_id, frame) WHERE gone = 0;

CREATE TABLE mark (
  id         TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id    TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  fault_id   TEXT NOT NULL REFERENCES fault (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id   TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: nobody, found by machine
  frame      INTEGER NOT NULL CHECK (frame >= 0),
  ticks      INTEGER NOT NULL,
  note       TEXT NOT NULL,
  source     TEXT NOT NULL CHECK (source IN ('hand', 'machine')),
  confidence REAL NOT NULL CHECK (confidence BETWEEN 0 AND 1),
  made       INTEGER NOT NULL, -- microseconds since 1970, UTC
  author     TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX mark_by_clip ON mark (clip_id, frame) WHERE gone = 0;

-- The change log: one row a change, an undo and a redo being changes too; and
-- one row for each domain row that the change touched, as it was and as it
-- became (JSON of the domain row; null: not there). It is only ever added to.
CREATE TABLE change (
  seq    INTEGER PRIMARY KEY,
  id     TEXT NOT NULL,
  kind   TEXT NOT NULL CHECK (kind IN ('do', 'undo', 'redo')),
  target INTEGER REFERENCES change (seq), -- the change that was undone or redone
  label  TEXT NOT NULL,
  author TEXT NOT NULL,
  clock  INTEGER NOT NULL,
  CHECK ((target IS NULL) = (kind = 'do'))
) STRICT;
CREATE TABLE change_row (
  seq    INTEGER NOT NULL REFERENCES change (seq),
  n      INTEGER NOT NULL, -- order inside the change, from 0
  kind   TEXT NOT NULL,    -- the table
  row_id TEXT NOT NULL,
  before TEXT,
  after  TEXT,
  PRIMARY KEY (seq, n)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER change_is_final BEFORE UPDATE ON change
  BEGIN SELECT RAISE(ABORT, 'the change log is only ever added to'); END;
CREATE TRIGGER change_row_is_final BEFORE UPDATE ON change_row
  BEGIN SELECT RAISE(ABORT, 'the change log is only ever added to'); END;

-- The steps that undo and redo walk: done steps are undone from the last place
-- down, the others are redone upwards from the first.
CREATE TABLE step (
  place INTEGER PRIMARY KEY,
  seq   INTEGER NOT NULL REFERENCES change (seq),
  done  INTEGER NOT NULL CHECK (done IN (0, 1))
) STRICT;
CREATE INDEX step_by_done ON step (done, place);

CREATE TABLE setting (
  key   TEXT PRIMARY KEY NOT NULL,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Frame indices of clips by fingerprint: a cache that may be emptied any time.
CREATE TABLE frame_index (
  fingerprint TEXT PRIMARY KEY NOT NULL,
  data        BLOB NOT NULL
) STRICT;
