-- Migration 0005 has no table of its own yet: the settings that it adds have their defaults.
SELECT '{w}';
