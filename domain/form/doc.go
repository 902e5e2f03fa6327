// Package form reads files that people fill in by hand or from a spreadsheet.
//
// A file is CSV (RFC 4180) in UTF-8, with or without a byte order mark, with commas between
// columns. Its first row names the columns, in any order. Decimals are written with a point, days
// like 2026-11-25. Text that begins like a spreadsheet formula (= + - @, tab, return) is refused,
// so that no spreadsheet that shows it later runs it.
//
// Everything that can't be read is told at once, by line and column. What the cells mean is for
// whoever reads the file.
package form
