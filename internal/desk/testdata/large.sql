-- A large club, written straight into the tables: five years, 300 players, 780
-- sessions, 10,000 clips of six turns, 3,000,000 strokes, 1,000,000 marks; every turn
-- looked through by the coach for every fault. Drawn by Knuth's multiplicative hash of the row's number: the same every time.
PRAGMA journal_mode = OFF;
PRAGMA synchronous = OFF;
PRAGMA temp_store = MEMORY;
PRAGMA cache_size = -200000;
BEGIN;
CREATE TEMP TABLE n AS WITH RECURSIVE s(n) AS (SELECT 0 UNION ALL SELECT n+1 FROM s WHERE n < 2999999) SELECT n, (n * 2654435761 % 4294967296) / 65536 AS h FROM s;
INSERT INTO coach SELECT printf('01960000-0000-7000-8000-%012x', n), 'Coach', 0, '', 1, 0, 0 FROM n WHERE n < 1;
INSERT INTO player SELECT printf('01960000-0000-7000-8001-%012x', n), printf('Player %03d', n), '', 'right', '', '', 0, '', 1, 0, '', '', '', '' FROM n WHERE n < 300;
INSERT INTO drill SELECT printf('01960000-0000-7000-8002-%012x', n), printf('Drill %02d', n), CASE n % 3 WHEN 0 THEN 'regular' WHEN 1 THEN 'irregular' ELSE 'free' END,
  CASE n % 4 WHEN 0 THEN 'F' WHEN 1 THEN 'FB' WHEN 2 THEN 'B' ELSE '' END, 'diagonal', CASE n % 2 WHEN 0 THEN 'passive block' ELSE 'active block' END, 1 + n / 3, 10, '', 0, '', 1, 0 FROM n WHERE n < 30;
INSERT INTO fault SELECT printf('01960000-0000-7000-8003-%012x', n), printf('F%02d', n), printf('Fault %02d', n),
  CASE n % 6 WHEN 0 THEN 'ready' WHEN 1 THEN 'footwork' WHEN 2 THEN 'backswing' WHEN 3 THEN 'contact' WHEN 4 THEN 'follow-through' ELSE 'recovery' END,
  CASE n % 3 WHEN 0 THEN 'forehand' WHEN 1 THEN 'backhand' ELSE 'both' END, 'Cue', 1 + n % 3, '', 0, '', 1, 0 FROM n WHERE n < 20;
INSERT INTO session SELECT printf('01960000-0000-7000-8004-%012x', n), date('2021-01-04', (n * 7 / 3) || ' days'), '', '', 1, 0 FROM n WHERE n < 780;
INSERT INTO clip SELECT printf('01960000-0000-7000-8005-%012x', n), printf('01960000-0000-7000-8004-%012x', n * 780 / 10000), printf('clip %05d.mp4', n), printf('/films/clip %05d.mp4', n),
  printf('print %d', n), 7, 3000, 0, 1, 12800, 60, 1920, 1080, '', 1, 0 FROM n WHERE n < 10000;
INSERT INTO stroke (id, clip_id, frame, ticks, side, outcome, source, confidence, coach_id, author, clock, gone)
  SELECT printf('01960000-0000-7000-8007-%012x', n), printf('01960000-0000-7000-8005-%012x', n / 300), n % 300 * 10, n % 300 * 2560,
  CASE h % 9 WHEN 0 THEN 'forehand' WHEN 1 THEN 'backhand' ELSE '' END, iif(h % 11, 'good', 'missed'), 'hand', 1.0, NULL, '', 1, 0 FROM n;
INSERT INTO mark (id, clip_id, fault_id, coach_id, frame, ticks, note, source, confidence, made, author, clock, gone)
  SELECT printf('01960000-0000-7000-8008-%012x', n), printf('01960000-0000-7000-8005-%012x', n / 100), printf('01960000-0000-7000-8003-%012x', h * h / 65536 * 20 / 65536), NULL,
  n % 100 * 30 + h % 20, (n % 100 * 30 + h % 20) * 256, '', 'hand', 1.0, 1773500000000000, '', 1, 0 FROM n WHERE n < 1000000;
INSERT INTO turn (id, clip_id, player_id, drill_id, first, last, first_ticks, last_ticks, author, clock, gone)
  SELECT printf('01960000-0000-7000-8006-%012x', n), printf('01960000-0000-7000-8005-%012x', n / 6), printf('01960000-0000-7000-8001-%012x', h % 300), printf('01960000-0000-7000-8002-%012x', h / 300 % 30),
  n % 6 * 500, n % 6 * 500 + 499, n % 6 * 128000, n % 6 * 128000 + 127744, '', 1, 0 FROM n WHERE n < 60000;
INSERT INTO look SELECT replace(id, '-8006-', '-8009-'), clip_id, '01960000-0000-7000-8000-000000000000', first, last, first_ticks, last_ticks,
  (SELECT json_group_array(id) FROM (SELECT id FROM fault ORDER BY id)), 1773500000000000, 0, '', 1, 0 FROM turn;
COMMIT;
