-- One meaning of each fault: blind second looks, decisions where two coaches differ,
-- definitions with their history and model pictures, tests of a coach. See package
-- standard.

CREATE TABLE blind_look (
  id       TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  coach_id TEXT NOT NULL REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED,
  first_id TEXT NOT NULL REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED,
  turns    TEXT NOT NULL CHECK (json_type(turns) = 'array'),
  drawn    TEXT NOT NULL,
  made     INTEGER NOT NULL, -- microseconds since 1970, UTC
  finished INTEGER,          -- likewise; null: it goes on
  author   TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX blind_look_open ON blind_look (id) WHERE gone = 0 AND finished IS NULL;

-- In which blind look a mark or a look was entered; null: openly.
ALTER TABLE mark ADD COLUMN blind_id TEXT REFERENCES blind_look (id) DEFERRABLE INITIALLY DEFERRED;
ALTER TABLE look ADD COLUMN blind_id TEXT REFERENCES blind_look (id) DEFERRABLE INITIALLY DEFERRED;

CREATE TABLE judgement (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  blind_id    TEXT NOT NULL REFERENCES blind_look (id) DEFERRABLE INITIALLY DEFERRED,
  clip_id     TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  stroke_id   TEXT NOT NULL,
  side        TEXT NOT NULL CHECK (side IN ('', 'forehand', 'backhand')),
  outcome     TEXT NOT NULL CHECK (outcome IN ('good', 'missed')),
  ready_frame INTEGER,
  ready_ticks INTEGER,
  author      TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX judgement_by_clip ON judgement (clip_id) WHERE gone = 0;
CREATE UNIQUE INDEX judgement_once ON judgement (blind_id, stroke_id) WHERE gone = 0;

CREATE TABLE decision (
  id        TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id   TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  stroke_id TEXT NOT NULL,
  first_id  TEXT NOT NULL REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED,
  second_id TEXT NOT NULL REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED,
  blind_id  TEXT REFERENCES blind_look (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id  TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  choice    TEXT NOT NULL CHECK (choice IN ('both', 'first', 'second', 'neither', 'another')),
  faults    TEXT NOT NULL CHECK (json_type(faults) = 'array'),
  dropped   TEXT NOT NULL CHECK (json_type(dropped) = 'array'), -- marks that do not count
  added_id  TEXT, -- the mark of another fault
  made      INTEGER NOT NULL, -- microseconds since 1970, UTC
  author    TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX decision_by_clip ON decision (clip_id) WHERE gone = 0;

CREATE TABLE definition (
  id       TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  fault_id TEXT NOT NULL REFERENCES fault (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  counts   TEXT NOT NULL,
  counts_not TEXT NOT NULL,
  changed  INTEGER NOT NULL CHECK (changed IN (0, 1)),
  made     INTEGER NOT NULL, -- microseconds since 1970, UTC
  author   TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

CREATE TABLE model (
  id       TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  fault_id TEXT NOT NULL REFERENCES fault (id) DEFERRABLE INITIALLY DEFERRED,
  clip_id  TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  frame    INTEGER NOT NULL CHECK (frame >= 0),
  ticks    INTEGER NOT NULL,
  shows    INTEGER NOT NULL CHECK (shows IN (0, 1)), -- 1: what the fault is; 0: what it is not
  made     INTEGER NOT NULL, -- microseconds since 1970, UTC
  author   TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX model_by_clip ON model (clip_id) WHERE gone = 0;

CREATE TABLE trial (
  id       TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  coach_id TEXT NOT NULL REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED,
  answers  TEXT NOT NULL CHECK (json_type(answers) = 'array'),
  made     INTEGER NOT NULL, -- microseconds since 1970, UTC
  author   TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

-- What a blind look has entered counts once it is finished, and a decision changes what
-- counts: packs and standings of the clips are made anew then.
CREATE TRIGGER blind_look_new AFTER UPDATE OF finished, gone ON blind_look WHEN OLD.finished IS NOT NEW.finished OR OLD.gone <> NEW.gone BEGIN
  DELETE FROM standing WHERE player_id IN (SELECT t.player_id FROM json_each(NEW.turns) j JOIN turn t ON t.id = j.value);
  DELETE FROM pack WHERE clip_id IN (SELECT t.clip_id FROM json_each(NEW.turns) j JOIN turn t ON t.id = j.value);
END;
CREATE TRIGGER decision_in AFTER INSERT ON decision BEGIN
  DELETE FROM pack WHERE clip_id = NEW.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = NEW.clip_id AND gone = 0);
END;
CREATE TRIGGER decision_new AFTER UPDATE ON decision BEGIN
  DELETE FROM pack WHERE clip_id IN (OLD.clip_id, NEW.clip_id);
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id IN (OLD.clip_id, NEW.clip_id) AND gone = 0);
END;
CREATE TRIGGER decision_out AFTER DELETE ON decision BEGIN
  DELETE FROM pack WHERE clip_id = OLD.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = OLD.clip_id AND gone = 0);
END;
