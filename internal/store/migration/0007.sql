-- By which of a film's videos and sounds a clip is looked at, counted from 1; 0: the
-- film's own default. Not part of the change log: who undoes an entry wants to go on
-- looking at the same video.
CREATE TABLE stream_choice (
  clip_id TEXT PRIMARY KEY NOT NULL REFERENCES clip (id) ON DELETE CASCADE,
  video   INTEGER NOT NULL CHECK (video >= 0),
  sound   INTEGER NOT NULL CHECK (sound >= 0)
) STRICT;

-- Films that took the place of the one for which that was chosen, for which it does not
-- hold: their videos and sounds are others.
CREATE TABLE stream_choice_except (
  clip_id     TEXT NOT NULL REFERENCES stream_choice (clip_id) ON DELETE CASCADE,
  fingerprint TEXT NOT NULL,
  PRIMARY KEY (clip_id, fingerprint)
) STRICT, WITHOUT ROWID;

-- So far it was a setting: "video sound", then " not " and a fingerprint for each film
-- for which it does not hold. What nobody could read was no choice, and no choice is the
-- setting of a clip that is gone for good.
INSERT INTO stream_choice
SELECT clip.id, CAST(substr(pair, 1, instr(pair, ' ') - 1) AS INTEGER), CAST(substr(pair, instr(pair, ' ') + 1) AS INTEGER)
FROM (SELECT substr(key, 12) AS clip_id, substr(value || ' not ', 1, instr(value || ' not ', ' not ') - 1) AS pair FROM setting WHERE key GLOB 'streams of *') s
JOIN clip ON clip.id = s.clip_id
WHERE pair GLOB '[0-9]* [0-9]*' AND pair NOT GLOB '*[^0-9 ]*' AND pair NOT GLOB '* * *' AND length(pair) <= 19;

WITH RECURSIVE film (clip_id, fingerprint, rest) AS (
  SELECT c.clip_id, NULL, substr(s.value || ' not ', instr(s.value || ' not ', ' not ') + 5)
  FROM stream_choice c JOIN setting s ON s.key = 'streams of ' || c.clip_id
  UNION ALL
  SELECT clip_id, substr(rest, 1, instr(rest, ' not ') - 1), substr(rest, instr(rest, ' not ') + 5) FROM film WHERE rest <> ''
)
INSERT OR IGNORE INTO stream_choice_except SELECT clip_id, fingerprint FROM film WHERE fingerprint <> '';

DELETE FROM setting WHERE key GLOB 'streams of *';

-- What is cached has one form from now on, see package cache: it says its version
-- itself, so that a new one needs no migration any more. Sounds by which films are told
-- from each other stay as they are: the films may be gone.
DROP TABLE standing;
CREATE TABLE standing (
  player_id TEXT PRIMARY KEY NOT NULL,
  data      BLOB NOT NULL
) STRICT;
DELETE FROM pack;
DELETE FROM frame_index;
DELETE FROM heard;
