package form

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
)

// Column is a column of a file.
type Column struct {
	Name string
	Text bool // free text, which mustn't look like a formula
}

// Empty returns a file with nothing but its header.
func Empty(columns []Column) []byte {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.Name
	}
	return []byte(strings.Join(names, ",") + "\r\n")
}

// File is a file that was read, with what is wrong in it.
type File struct {
	at      string // pointer to it
	faults  domain.Faults
	header  []Column
	columns map[string]int // name → column, from 1
}

// Read reads a file of at most so many rows below its header, and calls each with every row that
// has a cell for each column. Its faults point below at, as "#/lines/3" for at "#/lines".
func Read(at string, file []byte, columns []Column, most int, each func(Row)) *File {
	f := &File{at: at, columns: map[string]int{}}
	file = bytes.TrimPrefix(file, []byte("\ufeff"))
	if f.checkEncoding(file); len(f.faults) == 0 {
		f.read(file, columns, most, each)
	}
	return f
}

// Faults returns what is wrong in the file as far as it was read and checked.
func (f *File) Faults() domain.Faults { return f.faults }

// Column returns the place of a column in the file, from 1; 0 where it isn't there.
func (f *File) Column(name string) int { return f.columns[name] }

// Fault notes what is wrong at a position of the file.
func (f *File) Fault(line, column int, format string, args ...any) {
	f.faults = append(f.faults, domain.FieldFault{
		Pointer: fmt.Sprintf("%s/%d", f.at, line), Detail: fmt.Sprintf(format, args...),
		Line: line, Column: column,
	})
}

// checkEncoding notes a fault unless the file is UTF-8 without U+0000. Columns are bytes here.
func (f *File) checkEncoding(file []byte) {
	if bytes.HasPrefix(file, []byte{0xff, 0xfe}) || bytes.HasPrefix(file, []byte{0xfe, 0xff}) {
		f.Fault(1, 1, "the file is UTF-16; save it as UTF-8")
		return
	}
	n := -1
	for line := range bytes.SplitSeq(file, []byte{'\n'}) {
		if n++; f.faults.Full() {
			return
		}
		if at := bytes.IndexByte(line, 0); at >= 0 {
			f.Fault(n+1, at+1, "must not hold the character U+0000")
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
		f.Fault(n+1, at+1, "isn't UTF-8 from byte %d on; save the file as UTF-8", at+1)
	}
}

func (f *File) read(file []byte, columns []Column, most int, each func(Row)) {
	in := csv.NewReader(bytes.NewReader(file))
	in.FieldsPerRecord, in.ReuseRecord = -1, true
	header, err := in.Read()
	if err != nil || !f.readHeader(header, columns) {
		if err != nil {
			f.syntax(err)
		}
		return
	}
	for rows := 0; ; rows++ {
		cells, err := in.Read()
		switch {
		case errors.Is(err, io.EOF):
			return
		case err != nil:
			f.syntax(err) // the rows after it can't be told apart
			return
		case rows == most:
			f.Fault(lineOf(in), 1, "the file must have at most %d rows", most)
			return
		}
		if f.readRow(lineOf(in), cells, each); f.faults.Full() {
			return // the rest of the file is as bad
		}
	}
}

func lineOf(in *csv.Reader) int {
	line, _ := in.FieldPos(0)
	return line
}

// syntax notes where the file isn't CSV.
func (f *File) syntax(err error) {
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		f.Fault(bad.Line, bad.Column, "isn't CSV from here on: %v", bad.Err)
	case errors.Is(err, io.EOF):
		f.Fault(1, 1, "the file is empty; its first row must name the columns")
	default:
		f.Fault(1, 1, "%v", err)
	}
}

// readHeader reads the names of the columns, and reports whether rows can be read by them.
func (f *File) readHeader(cells []string, columns []Column) bool {
	if len(cells) == 1 && strings.Contains(cells[0], ";") {
		f.Fault(1, 1, "columns must be separated by commas, not by semicolons")
		return false
	}
	for i, name := range cells {
		if f.faults.Full() {
			return false
		}
		if f.tooLong(1, i+1, name) {
			continue
		}
		name = strings.TrimSpace(name)
		at := slices.IndexFunc(columns, func(c Column) bool { return c.Name == name })
		switch _, twice := f.columns[name]; {
		case at < 0:
			f.Fault(1, i+1, "%q isn't a column of the form", name)
			f.header = append(f.header, Column{})
		case twice:
			f.Fault(1, i+1, "the column %s is there twice", name)
			f.header = append(f.header, Column{})
		default:
			f.columns[name] = i + 1
			f.header = append(f.header, columns[at])
		}
	}
	for _, c := range columns {
		if _, there := f.columns[c.Name]; !there {
			f.Fault(1, len(cells)+1, "the column %s is missing", c.Name)
		}
	}
	return len(f.faults) == 0
}

// maxCell is the longest cell in bytes. No column holds as much, and what is wrong in a cell is
// said with its text.
const maxCell = 1_000

// tooLong notes a cell that is too long to be read, and reports whether it is.
func (f *File) tooLong(line, column int, cell string) bool {
	if len(cell) > maxCell {
		f.Fault(line, column, "must have at most %d bytes, not %d", maxCell, len(cell))
	}
	return len(cell) > maxCell
}
