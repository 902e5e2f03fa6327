DROP TABLE openings, joins;
