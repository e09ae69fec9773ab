-- How each clip sounds, by fingerprint: tells a film that was encoded anew for
-- the one that was marked. A cache, but of films that may be gone by now.
CREATE TABLE sound_print (
  fingerprint TEXT PRIMARY KEY NOT NULL,
  data        BLOB NOT NULL
) STRICT;
