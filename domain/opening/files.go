package opening

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"slices"
	"strconv"
	"strings"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/form"
)

// FileName names a file of an opening.
type FileName string

// The files of an opening. Each may be left out.
const (
	PianosFile     FileName = "pianos.csv"
	StockFile      FileName = "stock.csv"
	OrdersFile     FileName = "orders.csv"
	DeliveriesFile FileName = "deliveries.csv"
	DepositsFile   FileName = "deposits.csv"
	ClientJobsFile FileName = "client_jobs.csv"
)

// file is what a file holds.
type file struct {
	name    FileName
	most    int // rows
	columns []form.Column
	amounts []string // the columns that are added up
	row     func(*Books, form.Row)
}

var files = []file{
	{PianosFile, 2_000, pianoColumns, pianoAmounts, (*Books).piano},
	{StockFile, 2_000, lotColumns, []string{"value"}, (*Books).lot},
	{OrdersFile, 2_000, orderColumns, []string{"price"}, (*Books).order},
	{DeliveriesFile, 2_000, deliveryColumns, []string{"price", inStock}, (*Books).delivery},
	{DepositsFile, 2_000, depositColumns, []string{"amount"}, (*Books).deposit},
	{ClientJobsFile, 2_000, clientJobColumns, clientJobAmounts, (*Books).clientJob},
}

// FileNames returns the names of all files of an opening.
func FileNames() []string {
	names := make([]string, len(files))
	for i, f := range files {
		names[i] = string(f.name)
	}
	return names
}

// Forms returns all files as empty forms: only their headers.
func Forms() []catalogue.File {
	forms := make([]catalogue.File, len(files))
	for i, f := range files {
		forms[i] = catalogue.File{Name: string(f.name), Body: form.Empty(f.columns)}
	}
	return forms
}

// columns returns columns by their names; a star marks free text.
func columns(names string) []form.Column {
	var list []form.Column
	for name := range strings.FieldsSeq(names) {
		plain, text := strings.CutSuffix(name, "*")
		list = append(list, form.Column{Name: plain, Text: text})
	}
	return list
}

// Place is where a row stands.
type Place struct {
	File FileName
	Line int
}

// Books are the old books as they were read, with everything that is wrong in them.
type Books struct {
	Pianos     []Piano
	Lots       []Lot
	Orders     []Order
	Deliveries []Delivery
	Deposits   []Deposit
	ClientJobs []ClientJob

	read  map[FileName]*form.File
	sums  []FileSum
	check domain.Faults // that no file has, such as one that is missing
}

// Read reads the files of an opening as far as possible. What is wrong is for [Books.Check] to
// tell, together with what is wrong in the rows that could be read.
func Read(all []catalogue.File) *Books {
	b := &Books{read: map[FileName]*form.File{}}
	for _, f := range files {
		at := slices.IndexFunc(all, func(x catalogue.File) bool { return x.Name == string(f.name) })
		if at < 0 {
			continue
		}
		sum := FileSum{File: f.name, Hash: sha256.Sum256(all[at].Body)}
		b.read[f.name] = form.Read("#/"+string(f.name), all[at].Body, f.columns, f.most,
			func(r form.Row) { sum.Rows++; f.row(b, r) })
		b.sums = append(b.sums, sum)
	}
	switch {
	case len(b.sums) == 0:
		b.check.Add("#", "must hold at least one of the files %v", FileNames())
	case !slices.ContainsFunc(b.sums, b.hasRows):
		b.check.Add("#", "must hold at least one row: the files that came are nothing but headers, so that "+
			"there is nothing to open the books with")
	}
	return b
}

// hasRows reports whether a file has rows, or is so wrong that they couldn't be read.
func (b *Books) hasRows(s FileSum) bool { return s.Rows > 0 || len(b.read[s.File].Faults()) > 0 }

// wrong notes what is wrong with a cell.
func (b *Books) wrong(p Place, column, format string, args ...any) {
	f := b.read[p.File]
	f.Fault(p.Line, max(f.Column(column), 1), column+" "+format, args...)
}

// noted notes the faults of what rows say that another room has checked, each at the column that
// its member has in the file: those of a line at its row, the others at the first.
func (b *Books) noted(rows []Place, err error, columns map[string]string) error {
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Invalid {
		return err // nil too
	}
	for _, x := range fault.Fields {
		at := 0
		if line, is := strings.CutPrefix(x.Pointer, "#/lines/"); is {
			number, _, _ := strings.Cut(line, "/")
			if n, err := strconv.Atoi(number); err == nil && n < len(rows) {
				at = n
			}
		}
		name := x.Pointer[strings.LastIndexByte(x.Pointer, '/')+1:]
		b.wrong(rows[at], cmp.Or(columns[name], name), "%s", x.Detail)
	}
	return nil
}

// faults returns everything wrong, in the order of the files and the rows in them; of two faults of
// one cell the first.
func (b *Books) faults() error {
	all := slices.Clone(b.check)
	for _, f := range files {
		read := b.read[f.name]
		if read == nil {
			continue
		}
		of := slices.Clone(read.Faults())
		slices.SortStableFunc(of, func(a, b domain.FieldFault) int {
			return cmp.Or(a.Line-b.Line, a.Column-b.Column)
		})
		all = append(all, slices.CompactFunc(of, func(a, b domain.FieldFault) bool {
			return a.Line == b.Line && a.Column == b.Column
		})...)
	}
	return all.Err()
}
