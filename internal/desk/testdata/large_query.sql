-- What a summary counts, by hand: strokes and good strokes by player, drill and
-- side, and marks by player, drill and fault.
SELECT count(*), sum(n) FROM (
SELECT t.player_id, t.drill_id, s.side AS what, count(*) AS n, sum(s.outcome = 'good')
  FROM turn t JOIN stroke s ON s.clip_id = t.clip_id AND s.frame BETWEEN t.first AND t.last AND s.gone = 0
  WHERE t.gone = 0 AND (:player IS NULL OR t.player_id = :player) GROUP BY 1, 2, 3
UNION ALL
SELECT t.player_id, t.drill_id, m.fault_id, count(*), 0
  FROM turn t JOIN mark m ON m.clip_id = t.clip_id AND m.frame BETWEEN t.first AND t.last AND m.gone = 0
  WHERE t.gone = 0 AND (:player IS NULL OR t.player_id = :player) GROUP BY 1, 2, 3);
