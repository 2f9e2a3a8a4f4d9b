-- What one tap answered while the network was away arrives later: when its page was opened and when
-- it was answered, by the tablet's own clock; null: the server itself saw both.
ALTER TABLE answered_together ADD COLUMN away_opened_at TEXT;
ALTER TABLE answered_together ADD COLUMN away_answered_at TEXT;
