package job

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/shopspring/decimal"
)

// joinReader reads a file and collects what can't be read.
type joinReader struct {
	file   JoinFile
	faults domain.Faults
	header []joinColumn
	pianos map[string]int // ref → index
}

// fault notes what is wrong at a position of the file.
func (r *joinReader) fault(line, column int, format string, args ...any) {
	r.faults = append(r.faults, domain.FieldFault{
		Pointer: fmt.Sprintf("#/lines/%d", line), Detail: fmt.Sprintf(format, args...),
		Line: line, Column: column,
	})
}

// checkEncoding notes a fault unless the file is UTF-8 without U+0000. Columns are bytes here.
func (r *joinReader) checkEncoding(file []byte) {
	if bytes.HasPrefix(file, []byte{0xff, 0xfe}) || bytes.HasPrefix(file, []byte{0xfe, 0xff}) {
		r.fault(1, 1, "the file is UTF-16; save it as UTF-8")
		return
	}
	n := -1
	for line := range bytes.SplitSeq(file, []byte{'\n'}) {
		if n++; r.faults.Full() {
			return
		}
		if at := bytes.IndexByte(line, 0); at >= 0 {
			r.fault(n+1, at+1, "must not hold the character U+0000")
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
		r.fault(n+1, at+1, "isn't UTF-8 from byte %d on; save the file as UTF-8", at+1)
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
			r.syntax(err) // the rows after it can't be told apart
			return
		case rows == MaxJoinPianos+MaxJoinTasks:
			r.fault(lineOf(in), 1, "the file must have at most %d rows", MaxJoinPianos+MaxJoinTasks)
			return
		}
		if r.readRow(lineOf(in), cells); r.faults.Full() {
			return // the rest of the file is as bad
		}
	}
}

func lineOf(in *csv.Reader) int {
	line, _ := in.FieldPos(0)
	return line
}

// syntax notes where the file isn't CSV.
func (r *joinReader) syntax(err error) {
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		r.fault(bad.Line, bad.Column, "isn't CSV from here on: %v", bad.Err)
	case errors.Is(err, io.EOF):
		r.fault(1, 1, "the file is empty; its first row must name the columns")
	default:
		r.fault(1, 1, "%v", err)
	}
}

// readHeader reads the names of the columns, and reports whether rows can be read by them.
func (r *joinReader) readHeader(cells []string) bool {
	r.file.columns = map[string]int{}
	if len(cells) == 1 && strings.Contains(cells[0], ";") {
		r.fault(1, 1, "columns must be separated by commas, not by semicolons")
		return false
	}
	for i, name := range cells {
		if r.faults.Full() {
			return false
		}
		if r.tooLong(1, i+1, name) {
			continue
		}
		name = strings.TrimSpace(name)
		at := slices.IndexFunc(joinColumns, func(c joinColumn) bool { return c.name == name })
		switch _, twice := r.file.columns[name]; {
		case at < 0:
			r.fault(1, i+1, "%q isn't a column of the form", name)
			r.header = append(r.header, joinColumn{})
		case twice:
			r.fault(1, i+1, "the column %s is there twice", name)
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

// maxCell is the longest cell in bytes. No column holds as much, and what is wrong in a cell is
// said with its text.
const maxCell = 1_000

// tooLong notes a cell that is too long to be read, and reports whether it is.
func (r *joinReader) tooLong(line, column int, cell string) bool {
	if len(cell) > maxCell {
		r.fault(line, column, "must have at most %d bytes, not %d", maxCell, len(cell))
	}
	return len(cell) > maxCell
}

// row is one row of the file, by the names of its columns.
type row struct {
	*joinReader
	line  int
	cells map[string]string
}

func (r *joinReader) readRow(line int, cells []string) {
	if len(cells) != len(r.header) {
		r.fault(line, min(len(cells), len(r.header))+1, "the row must have %d cells, not %d",
			len(r.header), len(cells))
		return
	}
	w := row{joinReader: r, line: line, cells: map[string]string{}}
	empty := true
	for i, c := range r.header {
		if r.tooLong(line, i+1, cells[i]) {
			return
		}
		text := strings.Trim(cells[i], " ")
		w.cells[c.name] = text
		empty = empty && text == ""
		if c.text && text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
			r.fault(line, i+1, "%s begins like a spreadsheet formula, with %q; write it without",
				c.name, text[:1])
		}
	}
	if empty {
		return
	}
	kind := w.cells["row"]
	for i, c := range r.header {
		if (kind == pianoRow || kind == taskRow) && c.row != "" && c.row != kind &&
			w.cells[c.name] != "" {
			r.fault(line, i+1, "%s must be empty here: it belongs to a row %s", c.name, c.row)
		}
	}
	switch kind {
	case pianoRow:
		w.piano()
	case taskRow:
		w.task()
	default:
		w.cellFault("row", "must be piano or task, not %q", kind)
	}
}

// cellFault notes a fault of a cell of the row.
func (w row) cellFault(column, format string, args ...any) {
	w.fault(w.line, w.file.columns[column], column+" "+format, args...)
}

// refused stands for the index of a piano that was refused.
const refused = -1

func (w row) piano() {
	ref := w.cells["ref"]
	if _, twice := w.pianos[ref]; twice || ref == "" {
		w.cellFault("ref", "must be given, and be different for each piano: its tasks refer to it")
		w.pianos[ref] = refused // its tasks can't be told from the other piano's
		return
	}
	p := JoiningPiano{
		Line: w.line, Ref: ref, Client: w.cells["client"],
		Depth:      catalogue.Depth(w.cells["depth"]),
		AcceptedOn: w.day("accepted_on"), PromisedOn: w.day("promised_on"),
		OriginalPrice: w.figure("original_price"),
		CostSoFar:     w.figure("cost_so_far"), Deposit: w.figure("deposit"),
		Instrument: w.instrument(),
	}
	w.pianos[ref] = len(w.file.Join.Pianos)
	w.file.Join.Pianos = append(w.file.Join.Pianos, p)
}

func (w row) instrument() instrument.Instrument {
	return instrument.Instrument{
		Kind:  catalogue.Kind(w.cells["kind"]),
		Maker: w.cells["maker"], Model: w.cells["model"], Serial: w.cells["serial"],
		Year: w.whole("year"), SizeMM: w.whole("size_mm"), Notes: w.whole("notes"),
		Covering: w.cells["covering"], Finish: w.cells["finish"], Colour: w.cells["colour"],
		Action: w.cells["action"],
		Owner:  instrument.Ownership(w.cells["owner"]), StockNumber: w.cells["stock_number"],
	}
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
			w.cellFault(x.name, "must be given; 0 where there are none")
		}
	}
	at, known := w.pianos[w.cells["ref"]]
	switch {
	case !known:
		w.cellFault("ref", "must be that of a piano above, not %q", w.cells["ref"])
		return
	case at == refused:
		return
	}
	w.file.Join.Pianos[at].Tasks = append(w.file.Join.Pianos[at].Tasks, t)
}

// figure returns the decimal in a cell; nil where it is empty or holds something else.
func (w row) figure(column string) *decimal.Decimal {
	text := w.cells[column]
	if text == "" {
		return nil
	}
	d, err := decimal.NewFromString(text)
	if err != nil || len(text) > 22 || strings.ContainsAny(text, "eE") {
		w.cellFault(column, "must be a number in digits with a decimal point, not %q", text)
		return nil
	}
	return &d
}

// whole returns the whole number in a cell; 0 where it is empty or holds something else.
func (w row) whole(column string) int {
	text := w.cells[column]
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n > 1_000_000 || n < -1_000_000 {
		w.cellFault(column, "must be a whole number, not %q", text)
		return 0
	}
	return n
}

// day returns the day in a cell; no day where it is empty or holds something else.
func (w row) day(column string) domain.Date {
	text := w.cells[column]
	if text == "" {
		return domain.Date{}
	}
	d, err := domain.ParseDate(text)
	if err != nil {
		w.cellFault(column, "must be a day like 2026-11-25, not %q", text)
	}
	return d
}
