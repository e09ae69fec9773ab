-- What shows a fault when it is measured, and below which value (units: club.Measure);
-- 0 is no limit yet.
ALTER TABLE fault ADD COLUMN measure TEXT NOT NULL DEFAULT '' CHECK (measure IN ('', 'feet', 'elbow', 'hand'));
ALTER TABLE fault ADD COLUMN limit_at REAL NOT NULL DEFAULT 0 CHECK (limit_at = 0 OR measure <> '');

-- Joints of the near player by a clip's fingerprint: a cache that may be emptied any time.
CREATE TABLE body (
  fingerprint TEXT PRIMARY KEY NOT NULL CHECK (fingerprint <> ''),
  data        BLOB NOT NULL
) STRICT, WITHOUT ROWID;
