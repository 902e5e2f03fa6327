-- Migration 0007 has no table of its own.
SELECT '{w}';
