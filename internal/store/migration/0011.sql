-- What is measured of the strokes of a clip, as the desk writes it: a cache that may be
-- emptied any time. What is entered takes its row away when it changes; made_from tells
-- the caches that it was worked out from: a cache has no triggers, see remake.
CREATE TABLE reading (
  clip_id   TEXT PRIMARY KEY NOT NULL,
  made_from TEXT NOT NULL,
  data      BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TRIGGER reading_stroke_in AFTER INSERT ON stroke BEGIN DELETE FROM reading WHERE clip_id = NEW.clip_id; END;
CREATE TRIGGER reading_stroke_new AFTER UPDATE ON stroke BEGIN DELETE FROM reading WHERE clip_id IN (OLD.clip_id, NEW.clip_id); END;
CREATE TRIGGER reading_stroke_out AFTER DELETE ON stroke BEGIN DELETE FROM reading WHERE clip_id = OLD.clip_id; END;
CREATE TRIGGER reading_turn_in AFTER INSERT ON turn BEGIN DELETE FROM reading WHERE clip_id = NEW.clip_id; END;
CREATE TRIGGER reading_turn_new AFTER UPDATE ON turn BEGIN DELETE FROM reading WHERE clip_id IN (OLD.clip_id, NEW.clip_id); END;
CREATE TRIGGER reading_turn_out AFTER DELETE ON turn BEGIN DELETE FROM reading WHERE clip_id = OLD.clip_id; END;
CREATE TRIGGER reading_ruler_in AFTER INSERT ON ruler BEGIN DELETE FROM reading WHERE clip_id = NEW.clip_id; END;
CREATE TRIGGER reading_ruler_new AFTER UPDATE ON ruler BEGIN DELETE FROM reading WHERE clip_id = NEW.clip_id; END;
CREATE TRIGGER reading_ruler_out AFTER DELETE ON ruler BEGIN DELETE FROM reading WHERE clip_id = OLD.clip_id; END;
CREATE TRIGGER reading_clip_new AFTER UPDATE ON clip BEGIN DELETE FROM reading WHERE clip_id = NEW.id; END;
CREATE TRIGGER reading_clip_out AFTER DELETE ON clip BEGIN DELETE FROM reading WHERE clip_id = OLD.id; END;
CREATE TRIGGER reading_stream_in AFTER INSERT ON stream_choice BEGIN DELETE FROM reading WHERE clip_id = NEW.clip_id; END;
CREATE TRIGGER reading_stream_new AFTER UPDATE ON stream_choice BEGIN DELETE FROM reading WHERE clip_id = NEW.clip_id; END;
CREATE TRIGGER reading_stream_out AFTER DELETE ON stream_choice BEGIN DELETE FROM reading WHERE clip_id = OLD.clip_id; END;
CREATE TRIGGER reading_player_new AFTER UPDATE OF hand ON player WHEN OLD.hand <> NEW.hand BEGIN
  DELETE FROM reading WHERE clip_id IN (SELECT clip_id FROM turn WHERE player_id = NEW.id);
END;
CREATE TRIGGER reading_drill_new AFTER UPDATE ON drill BEGIN
  DELETE FROM reading WHERE clip_id IN (SELECT clip_id FROM turn WHERE drill_id = NEW.id);
END;
