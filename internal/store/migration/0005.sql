-- A fault that is new counts in what was kept of every player too: nothing that
-- was kept before it came holds any more. A new drill has no turns yet.
DELETE FROM standing;
CREATE TRIGGER fault_in AFTER INSERT ON fault BEGIN
  DELETE FROM standing;
END;
