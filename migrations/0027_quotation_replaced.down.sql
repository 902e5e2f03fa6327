DROP TABLE quotation_replacements;
