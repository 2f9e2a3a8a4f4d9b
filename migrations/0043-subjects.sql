-- Which check points look at a subject: the barrier's work is asked for of all gear at once.
CREATE INDEX check_point_by_subject ON check_point (subject, code);
