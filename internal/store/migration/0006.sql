-- Looks: who has looked through which stretch of a clip, for which faults. Only
-- strokes that were looked at count in a rate. faults is a JSON array of the IDs of
-- faults; see rules.go for what holds of it.

CREATE TABLE look (
  id          TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  clip_id     TEXT NOT NULL REFERENCES clip (id) DEFERRABLE INITIALLY DEFERRED,
  coach_id    TEXT REFERENCES coach (id) DEFERRABLE INITIALLY DEFERRED, -- null: not known
  first       INTEGER NOT NULL CHECK (first >= 0),    -- frame
  last        INTEGER NOT NULL CHECK (last >= first), -- frame
  first_ticks INTEGER NOT NULL,
  last_ticks  INTEGER NOT NULL,
  faults      TEXT NOT NULL CHECK (json_type(faults) = 'array'),
  made        INTEGER NOT NULL, -- microseconds since 1970, UTC
  assumed     INTEGER NOT NULL CHECK (assumed IN (0, 1)),
  author      TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
CREATE INDEX look_by_clip ON look (clip_id, first) WHERE gone = 0;

-- Nobody kept looks so far: a turn in which a coach has marked something counts as
-- looked through by that coach for every fault, as club.AssumedLooks does; a turn
-- without a mark as looked at by nobody. The IDs are UUIDs of version 7 (RFC 9562).
INSERT INTO look
SELECT lower(substr(hex, 1, 8) || '-' || substr(hex, 9, 4) || '-7' || substr(random, 1, 3) || '-' || substr('89ab', place, 1) || substr(random, 4, 3) || '-' || substr(random, 7, 12)),
  clip_id, coach_id, first, last, first_ticks, last_ticks,
  (SELECT json_group_array(id) FROM (SELECT id FROM fault WHERE gone = 0 ORDER BY id)),
  made, 1, coalesce(coach_id, ''), (SELECT coalesce(max(clock), 0) FROM change), 0
FROM (SELECT t.clip_id, m.coach_id, t.first, t.last, t.first_ticks, t.last_ticks, max(m.made) AS made,
    printf('%012x', max(0, max(m.made) / 1000)) AS hex, hex(randomblob(9)) AS random, 1 + (random() & 3) AS place
  FROM turn t JOIN mark m ON m.clip_id = t.clip_id AND m.gone = 0 AND m.frame BETWEEN t.first AND t.last
  WHERE t.gone = 0 GROUP BY t.id, m.coach_id);

CREATE TRIGGER look_in AFTER INSERT ON look BEGIN
  DELETE FROM pack WHERE clip_id = NEW.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = NEW.clip_id AND gone = 0);
END;
CREATE TRIGGER look_new AFTER UPDATE ON look BEGIN
  DELETE FROM pack WHERE clip_id IN (OLD.clip_id, NEW.clip_id);
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id IN (OLD.clip_id, NEW.clip_id) AND gone = 0);
END;
CREATE TRIGGER look_out AFTER DELETE ON look BEGIN
  DELETE FROM pack WHERE clip_id = OLD.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = OLD.clip_id AND gone = 0);
END;

-- The phase of a fault says on which stroke its marks hang: what was kept of the
-- players goes by it now.
DROP TRIGGER fault_new;
CREATE TRIGGER fault_new AFTER UPDATE OF sides, phase, gone ON fault WHEN OLD.sides <> NEW.sides OR OLD.phase <> NEW.phase OR OLD.gone <> NEW.gone BEGIN
  DELETE FROM standing;
END;

-- How long a coach takes from seeing a fault to pressing its key, seconds; 0: the
-- usual time.
ALTER TABLE coach ADD COLUMN reaction REAL NOT NULL DEFAULT 0 CHECK (reaction BETWEEN 0 AND 3);

-- Packs hold looks from now on, and whether a turn is settled; beside them stands on
-- how many of the clip's turns no look lies.
DELETE FROM pack;
DELETE FROM standing;
DROP INDEX pack_counts;
ALTER TABLE pack ADD COLUMN unlooked INTEGER NOT NULL DEFAULT 0;
CREATE INDEX pack_counts ON pack (clip_id, turns, strokes, marks, unlooked);
