package domain

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// The file that a workshop joins with is CSV (RFC 4180) in UTF-8, with or
// without a byte order mark, columns separated by commas. Its first row names
// the columns, in any order. A row "piano" is one instrument; the rows "task"
// that name its ref are its operations. Decimals are written with a point, days
// as 2026-11-25. A text that begins like a formula of a spreadsheet (= + - @,
// tab, return) is refused, so that no spreadsheet that shows it later runs it.

// joinColumn is a column of the file.
type joinColumn struct {
	name string
	row  string // of which kind of row; empty: both
	text bool   // free text, which must not look like a formula
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

// JoinForm is the empty form of the file: its header.
func JoinForm() []byte {
	names := make([]string, len(joinColumns))
	for i, c := range joinColumns {
		names[i] = c.name
	}
	return []byte(strings.Join(names, ",") + "\r\n")
}

// JoinFile is a file that was read, with where everything stood in it.
type JoinFile struct {
	Join    Join
	columns map[string]int // name → column, from 1
}

// ReadJoin reads the file of a workshop that joins, as far as it can be read.
// The faults name what cannot by line and column; what was read is checked by
// [Join.Check], and [JoinFile.Report] brings both together.
func ReadJoin(file []byte) (JoinFile, Faults) {
	r := &joinReader{pianos: map[string]int{}}
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	if r.checkEncoding(file); len(r.faults) == 0 {
		r.read(file)
	}
	return r.file, r.faults
}

// Report is everything that is wrong with the file, by line and column: what
// could not be read, and what a check of the rest has found. A cell that could
// not be read is told of once. Any other error passes unchanged.
func (f JoinFile) Report(unread Faults, check error) error {
	var fault *Fault
	if check != nil && !errors.As(check, &fault) {
		return check
	}
	all := slices.Clone(unread)
	if fault != nil && (len(unread) == 0 || len(f.Join.Pianos) > 0) {
		for _, x := range fault.Fields {
			x.Line, x.Column = f.place(x.Pointer)
			told := slices.ContainsFunc(unread, func(u FieldFault) bool { return u.Line == x.Line && u.Column == x.Column })
			if !told {
				all = append(all, x)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b FieldFault) int { return cmp.Or(a.Line-b.Line, a.Column-b.Column) })
	return all.Err()
}

// place is the line and column of a pointer; 1 and 1 where it points at the
// whole.
func (f JoinFile) place(pointer string) (line, column int) {
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

// joinReader reads a file and collects what is wrong with it.
type joinReader struct {
	file   JoinFile
	faults Faults
	header []joinColumn
	pianos map[string]int // ref → position
}

// fault notes what is wrong at a place of the file.
func (r *joinReader) fault(line, column int, format string, args ...any) {
	r.faults = append(r.faults, FieldFault{
		Pointer: fmt.Sprintf("#/lines/%d", line), Detail: fmt.Sprintf(format, args...), Line: line, Column: column,
	})
}

// checkEncoding wants UTF-8 without U+0000. Columns here are bytes.
func (r *joinReader) checkEncoding(file []byte) {
	if bytes.HasPrefix(file, []byte{0xff, 0xfe}) || bytes.HasPrefix(file, []byte{0xfe, 0xff}) {
		r.fault(1, 1, "the file is UTF-16; save it as UTF-8")
		return
	}
	for n, line := range bytes.Split(file, []byte{'\n'}) {
		if at := bytes.IndexByte(line, 0); at >= 0 {
			r.fault(n+1, at+1, "holds the character U+0000")
			continue
		}
		if utf8.Valid(line) {
			continue
		}
		at := 0
		for at < len(line) {
			c, size := utf8.DecodeRune(line[at:])
			if c == utf8.RuneError && size == 1 {
				break
			}
			at += size
		}
		r.fault(n+1, at+1, "is not UTF-8 from byte %d on; save the file as UTF-8", at+1)
	}
}

func (r *joinReader) read(file []byte) {
	in := csv.NewReader(bytes.NewReader(file))
	in.FieldsPerRecord, in.ReuseRecord = -1, true
	header, err := in.Read()
	if err != nil || !r.readHeader(header) {
		if err != nil {
			r.syntax(err)
		}
		return
	}
	for rows := 0; ; rows++ {
		cells, err := in.Read()
		switch {
		case errors.Is(err, io.EOF):
			return
		case err != nil:
			r.syntax(err) // what comes after it cannot be told apart
			return
		case rows == MaxJoinPianos+MaxJoinTasks:
			r.fault(lineOf(in), 1, "the file has more than %d rows", MaxJoinPianos+MaxJoinTasks)
			return
		}
		r.readRow(lineOf(in), cells)
	}
}

func lineOf(in *csv.Reader) int {
	line, _ := in.FieldPos(0)
	return line
}

// syntax reports where the file is no CSV.
func (r *joinReader) syntax(err error) {
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		r.fault(bad.Line, bad.Column, "is no CSV from here on: %v", bad.Err)
	case errors.Is(err, io.EOF):
		r.fault(1, 1, "the file is empty; its first row names the columns")
	default:
		r.fault(1, 1, "%v", err)
	}
}

// readHeader takes the columns in their order; false where no row can be read
// by them.
func (r *joinReader) readHeader(cells []string) bool {
	r.file.columns = map[string]int{}
	if len(cells) == 1 && strings.Contains(cells[0], ";") {
		r.fault(1, 1, "columns are separated by commas, not by semicolons")
		return false
	}
	for i, name := range cells {
		name = strings.TrimSpace(name)
		at := slices.IndexFunc(joinColumns, func(c joinColumn) bool { return c.name == name })
		switch _, twice := r.file.columns[name]; {
		case at < 0:
			r.fault(1, i+1, "%q is no column", name)
			r.header = append(r.header, joinColumn{})
		case twice:
			r.fault(1, i+1, "the column %s stands there twice", name)
			r.header = append(r.header, joinColumn{})
		default:
			r.file.columns[name] = i + 1
			r.header = append(r.header, joinColumns[at])
		}
	}
	for _, c := range joinColumns {
		if _, there := r.file.columns[c.name]; !there {
			r.fault(1, len(cells)+1, "the column %s is missing", c.name)
		}
	}
	return len(r.faults) == 0
}

// row is one row of the file by the names of its columns.
type row struct {
	*joinReader
	line  int
	cells map[string]string
}

func (r *joinReader) readRow(line int, cells []string) {
	if len(cells) != len(r.header) {
		r.fault(line, min(len(cells), len(r.header))+1, "the row has %d cells of %d", len(cells), len(r.header))
		return
	}
	w := row{joinReader: r, line: line, cells: map[string]string{}}
	empty := true
	for i, c := range r.header {
		text := strings.Trim(cells[i], " ")
		w.cells[c.name] = text
		empty = empty && text == ""
		if c.text && text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
			r.fault(line, i+1, "%s begins like a formula of a spreadsheet, with %q; write it without", c.name, text[:1])
		}
	}
	if empty {
		return
	}
	kind := w.cells["row"]
	for i, c := range r.header {
		if (kind == pianoRow || kind == taskRow) && c.row != "" && c.row != kind && w.cells[c.name] != "" {
			r.fault(line, i+1, "%s belongs to a row %s", c.name, c.row)
		}
	}
	switch kind {
	case pianoRow:
		w.piano()
	case taskRow:
		w.task()
	default:
		w.wrong("row", "is neither piano nor task")
	}
}

// wrong notes a fault of a cell of the row.
func (w row) wrong(column, format string, args ...any) {
	w.fault(w.line, w.file.columns[column], column+" "+format, args...)
}

// nobody is the position of a piano that was refused.
const nobody = -1

func (w row) piano() {
	ref := w.cells["ref"]
	if _, twice := w.pianos[ref]; twice || ref == "" {
		w.wrong("ref", "must be given, once for each piano: its tasks name it")
		w.pianos[ref] = nobody // whose its tasks are cannot be told
		return
	}
	p := JoiningPiano{
		Line: w.line, Ref: ref, Client: w.cells["client"], Depth: catalogue.Depth(w.cells["depth"]),
		AcceptedOn: w.day("accepted_on"), PromisedOn: w.day("promised_on"),
		OriginalPrice: w.figure("original_price"), CostSoFar: w.figure("cost_so_far"), Deposit: w.figure("deposit"),
		Instrument: Instrument{
			Kind: catalogue.Kind(w.cells["kind"]), Maker: w.cells["maker"], Model: w.cells["model"], Serial: w.cells["serial"],
			Year: w.whole("year"), SizeMM: w.whole("size_mm"), Notes: w.whole("notes"), Covering: w.cells["covering"],
			Finish: w.cells["finish"], Colour: w.cells["colour"], Action: w.cells["action"], Owner: Ownership(w.cells["owner"]),
			StockNumber: w.cells["stock_number"],
		},
	}
	w.pianos[ref] = len(w.file.Join.Pianos)
	w.file.Join.Pianos = append(w.file.Join.Pianos, p)
}

func (w row) task() {
	t := JoiningTask{Line: w.line, Operation: catalogue.Code(w.cells["operation"])}
	for _, x := range []struct {
		name  string
		hours *decimal.Decimal
	}{{"hours_done", &t.Done}, {"hours_left", &t.Left}} {
		switch h := w.figure(x.name); {
		case h != nil:
			*x.hours = *h
		case w.cells[x.name] == "":
			w.wrong(x.name, "must be given; 0 where there are none")
		}
	}
	at, known := w.pianos[w.cells["ref"]]
	switch {
	case !known:
		w.wrong("ref", "%q is the ref of no piano above", w.cells["ref"])
		return
	case at == nobody:
		return
	}
	w.file.Join.Pianos[at].Tasks = append(w.file.Join.Pianos[at].Tasks, t)
}

// figure is a decimal; nil where the cell is empty or holds none.
func (w row) figure(column string) *decimal.Decimal {
	text := w.cells[column]
	if text == "" {
		return nil
	}
	d, err := decimal.NewFromString(text)
	if err != nil || len(text) > 22 || strings.ContainsAny(text, "eE") {
		w.wrong(column, "%q is no number; write it in digits with a decimal point", text)
		return nil
	}
	return &d
}

// whole is a whole number; 0 where the cell is empty or holds none.
func (w row) whole(column string) int {
	text := w.cells[column]
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n > 1_000_000 || n < -1_000_000 {
		w.wrong(column, "%q is no whole number", text)
		return 0
	}
	return n
}

// day is a day; none where the cell is empty or holds none.
func (w row) day(column string) Date {
	text := w.cells[column]
	if text == "" {
		return Date{}
	}
	d, err := ParseDate(text)
	if err != nil {
		w.wrong(column, "%q is no day; write it as 2026-11-25", text)
	}
	return d
}
