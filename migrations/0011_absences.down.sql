DROP TABLE absences;
