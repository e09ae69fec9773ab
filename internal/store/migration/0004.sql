-- What a summary reads, packed clip by clip: a cache that may be emptied any
-- time. Whatever changes on a clip takes its row away, so that a row that is
-- there is right. See pack.go for what data and ids hold.
CREATE TABLE pack (
  clip_id TEXT PRIMARY KEY NOT NULL,
  turns   INTEGER NOT NULL,
  strokes INTEGER NOT NULL,
  marks   INTEGER NOT NULL,
  data    BLOB NOT NULL,
  ids     BLOB NOT NULL
) STRICT;
CREATE INDEX pack_counts ON pack (clip_id, turns, strokes, marks);

-- What each player showed of every fault on all dates, as the desk writes it: a
-- cache like pack, of which the definitions are a part too.
CREATE TABLE standing (
  player_id TEXT PRIMARY KEY NOT NULL,
  data      TEXT NOT NULL
) STRICT;

CREATE TRIGGER stroke_in AFTER INSERT ON stroke BEGIN
  DELETE FROM pack WHERE clip_id = NEW.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = NEW.clip_id AND gone = 0);
END;
CREATE TRIGGER stroke_new AFTER UPDATE ON stroke BEGIN
  DELETE FROM pack WHERE clip_id IN (OLD.clip_id, NEW.clip_id);
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id IN (OLD.clip_id, NEW.clip_id) AND gone = 0);
END;
CREATE TRIGGER stroke_out AFTER DELETE ON stroke BEGIN
  DELETE FROM pack WHERE clip_id = OLD.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = OLD.clip_id AND gone = 0);
END;
CREATE TRIGGER mark_in AFTER INSERT ON mark BEGIN
  DELETE FROM pack WHERE clip_id = NEW.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = NEW.clip_id AND gone = 0);
END;
CREATE TRIGGER mark_new AFTER UPDATE ON mark BEGIN
  DELETE FROM pack WHERE clip_id IN (OLD.clip_id, NEW.clip_id);
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id IN (OLD.clip_id, NEW.clip_id) AND gone = 0);
END;
CREATE TRIGGER mark_out AFTER DELETE ON mark BEGIN
  DELETE FROM pack WHERE clip_id = OLD.clip_id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = OLD.clip_id AND gone = 0);
END;
CREATE TRIGGER turn_in AFTER INSERT ON turn BEGIN
  DELETE FROM pack WHERE clip_id = NEW.clip_id;
  DELETE FROM standing WHERE player_id = NEW.player_id;
END;
CREATE TRIGGER turn_new AFTER UPDATE ON turn BEGIN
  DELETE FROM pack WHERE clip_id IN (OLD.clip_id, NEW.clip_id);
  DELETE FROM standing WHERE player_id IN (OLD.player_id, NEW.player_id);
END;
CREATE TRIGGER turn_out AFTER DELETE ON turn BEGIN
  DELETE FROM pack WHERE clip_id = OLD.clip_id;
  DELETE FROM standing WHERE player_id = OLD.player_id;
END;
CREATE TRIGGER clip_new AFTER UPDATE OF base_num, base_den, first_ticks, gone ON clip BEGIN
  DELETE FROM pack WHERE clip_id = NEW.id;
  DELETE FROM standing WHERE player_id IN (SELECT player_id FROM turn WHERE clip_id = NEW.id AND gone = 0);
END;
CREATE TRIGGER clip_out AFTER DELETE ON clip BEGIN
  DELETE FROM pack WHERE clip_id = OLD.id;
END;
CREATE TRIGGER drill_new AFTER UPDATE OF pattern, gone ON drill WHEN OLD.pattern <> NEW.pattern OR OLD.gone <> NEW.gone BEGIN
  DELETE FROM standing;
END;
CREATE TRIGGER fault_new AFTER UPDATE OF sides, gone ON fault WHEN OLD.sides <> NEW.sides OR OLD.gone <> NEW.gone BEGIN
  DELETE FROM standing;
END;
