-- Work goes from library to library: of each part of a row it is kept when it was
-- changed, where that is older than the row's own author and clock; see package merge.
-- older is a JSON array of moments with the parts that were changed then.
CREATE TABLE stamp (
  kind   TEXT NOT NULL, -- the table
  row_id TEXT NOT NULL,
  older  TEXT NOT NULL CHECK (json_type(older) = 'array'),
  PRIMARY KEY (kind, row_id)
) STRICT, WITHOUT ROWID;

-- Undoing what was taken in from another library brings the moments back too: JSON, see
-- restoring; null for any other change.
ALTER TABLE change_row ADD COLUMN stamps TEXT;

-- IDs that mean one thing: rows of the one given up are taken for rows of the one kept.
CREATE TABLE same (
  id       TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  of_table TEXT NOT NULL,
  given    TEXT NOT NULL,
  keep     TEXT NOT NULL CHECK (keep < given),
  author   TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;

-- Files with the work of other libraries that were taken in, by the last change that
-- each holds.
CREATE TABLE taken (
  id     TEXT PRIMARY KEY NOT NULL CHECK (id <> ''),
  file   TEXT NOT NULL,
  author TEXT NOT NULL, clock INTEGER NOT NULL, gone INTEGER NOT NULL CHECK (gone IN (0, 1))
) STRICT;
