-- What shows a fault when it is measured, and below which value (units: club.Measure);
-- 0 is no limit yet.
ALTER TABLE fault ADD COLUMN measure TEXT NOT NULL DEFAULT '' CHECK (measure IN ('', 'feet', 'elbow', 'hand'));
ALTER TABLE fault ADD COLUMN limit_at REAL NOT NULL DEFAULT 0 CHECK (limit_at = 0 OR measure <> '');
