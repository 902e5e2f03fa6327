package job

import (
	"bytes"
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"

	"bentside/domain"
)

// The file that a workshop joins with is CSV (RFC 4180) in UTF-8, with or without a byte order
// mark, with commas between columns. Its first row names the columns, in any order. A row "piano"
// is one instrument; the rows "task" with its ref are its operations. Decimals are written with a
// point, days like 2026-11-25. Text that begins like a spreadsheet formula (= + - @, tab, return)
// is refused, so that no spreadsheet that shows it later runs it.

// joinColumn is a column of the file.
type joinColumn struct {
	name string
	row  string // the kind of row that it belongs to; empty: both
	text bool   // free text, which mustn't look like a formula
}

const (
	pianoRow = "piano"
	taskRow  = "task"
)

var joinColumns = []joinColumn{
	{name: "row"},
	{name: "ref", text: true},
	{name: "kind", row: pianoRow},
	{name: "maker", row: pianoRow, text: true},
	{name: "model", row: pianoRow, text: true},
	{name: "serial", row: pianoRow, text: true},
	{name: "year", row: pianoRow},
	{name: "size_mm", row: pianoRow},
	{name: "notes", row: pianoRow},
	{name: "covering", row: pianoRow},
	{name: "finish", row: pianoRow},
	{name: "colour", row: pianoRow, text: true},
	{name: "action", row: pianoRow},
	{name: "owner", row: pianoRow},
	{name: "client", row: pianoRow, text: true},
	{name: "stock_number", row: pianoRow, text: true},
	{name: "original_price", row: pianoRow},
	{name: "cost_so_far", row: pianoRow},
	{name: "deposit", row: pianoRow},
	{name: "depth", row: pianoRow},
	{name: "accepted_on", row: pianoRow},
	{name: "promised_on", row: pianoRow},
	{name: "operation", row: taskRow},
	{name: "hours_done", row: taskRow},
	{name: "hours_left", row: taskRow},
}

// JoinForm returns the file as an empty form: only its header.
func JoinForm() []byte {
	names := make([]string, len(joinColumns))
	for i, c := range joinColumns {
		names[i] = c.name
	}
	return []byte(strings.Join(names, ",") + "\r\n")
}

// JoinFile is a file that was read, with the position of everything in it.
type JoinFile struct {
	Join    Join
	columns map[string]int // name → column, from 1
}

// ReadJoin reads the file of a workshop that joins, as far as possible. The faults say by line and
// column what can't be read. The rest is for [Join.Check] to check, and [JoinFile.Report] puts both
// together.
func ReadJoin(file []byte) (JoinFile, domain.Faults) {
	r := &joinReader{pianos: map[string]int{}}
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	if r.checkEncoding(file); len(r.faults) == 0 {
		r.read(file)
	}
	return r.file, r.faults
}

// Report returns an Invalid Fault with everything wrong in the file, by line and column: what
// couldn't be read, and what a check of the rest returned. Each cell that couldn't be read is
// reported once. Any other error is returned unchanged.
func (f JoinFile) Report(unread domain.Faults, check error) error {
	var fault *domain.Fault
	if check != nil && !errors.As(check, &fault) {
		return check
	}
	all := slices.Clone(unread)
	if fault != nil && (len(unread) == 0 || len(f.Join.Pianos) > 0) {
		for _, x := range fault.Fields {
			x.Line, x.Column = f.position(x.Pointer)
			if !slices.ContainsFunc(unread, func(u domain.FieldFault) bool {
				return u.Line == x.Line && u.Column == x.Column
			}) {
				all = append(all, x)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b domain.FieldFault) int {
		return cmp.Or(a.Line-b.Line, a.Column-b.Column)
	})
	return all.Err()
}

// position returns the line and column that a pointer refers to; 1 and 1 for the whole file.
func (f JoinFile) position(pointer string) (line, column int) {
	line, column = 1, 1
	parts := strings.Split(pointer, "/")
	if len(parts) < 3 || parts[1] != "pianos" {
		return line, column
	}
	i, err := strconv.Atoi(parts[2])
	if err != nil || i >= len(f.Join.Pianos) {
		return line, column
	}
	p := f.Join.Pianos[i]
	line = p.Line
	if len(parts) > 4 && parts[3] == "tasks" {
		if k, err := strconv.Atoi(parts[4]); err == nil && k < len(p.Tasks) {
			line = p.Tasks[k].Line
		}
	}
	if at, ok := f.columns[parts[len(parts)-1]]; ok {
		column = at
	}
	return line, column
}
