package job

import (
	"cmp"
	"errors"
	"slices"
	"strconv"
	"strings"

	"bentside/domain"
	"bentside/domain/form"
)

// In the file that a workshop joins with a row "piano" is one instrument; the rows "task" with its
// ref are its operations.

// joinColumn is a column of the file.
type joinColumn struct {
	form.Column
	row string // the kind of row that it belongs to; empty: both
}

const (
	pianoRow = "piano"
	taskRow  = "task"
)

var joinColumns = []joinColumn{
	{form.Column{Name: "row"}, ""},
	{form.Column{Name: "ref", Text: true}, ""},
	{form.Column{Name: "kind"}, pianoRow},
	{form.Column{Name: "maker", Text: true}, pianoRow},
	{form.Column{Name: "model", Text: true}, pianoRow},
	{form.Column{Name: "serial", Text: true}, pianoRow},
	{form.Column{Name: "year"}, pianoRow},
	{form.Column{Name: "size_mm"}, pianoRow},
	{form.Column{Name: "notes"}, pianoRow},
	{form.Column{Name: "covering"}, pianoRow},
	{form.Column{Name: "finish"}, pianoRow},
	{form.Column{Name: "colour", Text: true}, pianoRow},
	{form.Column{Name: "action"}, pianoRow},
	{form.Column{Name: "owner"}, pianoRow},
	{form.Column{Name: "client", Text: true}, pianoRow},
	{form.Column{Name: "stock_number", Text: true}, pianoRow},
	{form.Column{Name: "original_price"}, pianoRow},
	{form.Column{Name: "cost_so_far"}, pianoRow},
	{form.Column{Name: "deposit"}, pianoRow},
	{form.Column{Name: "depth"}, pianoRow},
	{form.Column{Name: "accepted_on"}, pianoRow},
	{form.Column{Name: "promised_on"}, pianoRow},
	{form.Column{Name: "operation"}, taskRow},
	{form.Column{Name: "hours_done"}, taskRow},
	{form.Column{Name: "hours_left"}, taskRow},
}

// formColumns returns the columns as the form has them.
func formColumns() []form.Column {
	columns := make([]form.Column, len(joinColumns))
	for i, c := range joinColumns {
		columns[i] = c.Column
	}
	return columns
}

// JoinForm returns the file as an empty form: only its header.
func JoinForm() []byte { return form.Empty(formColumns()) }

// JoinFile is a file that was read, with the position of everything in it.
type JoinFile struct {
	Join Join
	file *form.File
}

// ReadJoin reads the file of a workshop that joins, as far as possible. The faults say by line and
// column what can't be read. The rest is for [Join.Check] to check, and [JoinFile.Report] puts both
// together.
func ReadJoin(file []byte) (JoinFile, domain.Faults) {
	r := &joinReader{pianos: map[string]int{}}
	read := form.Read("#/lines", file, formColumns(), MaxJoinPianos+MaxJoinTasks, r.row)
	return JoinFile{r.join, read}, read.Faults()
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
	if at := f.file.Column(parts[len(parts)-1]); at > 0 {
		column = at
	}
	return line, column
}
