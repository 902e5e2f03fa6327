DROP TABLE scale_notes, measurements;
