package opening

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Opening is that a workshop began with its books here, kept for good.
type Opening struct {
	ID         uuid.UUID
	Number     int // counts the openings of the workshop from 1
	OpenedOn   domain.Date
	Files      []FileSum
	RecordedBy uuid.UUID
	RecordedAt time.Time
	Reversal   *Reversal // nil: it stands
}

// BalancesOn returns the day on which everything that came in counts in the books.
func (o Opening) BalancesOn() domain.Date { return BalancesOn(o.OpenedOn) }

// Reversal is that an opening was taken back.
type Reversal struct {
	Why        string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// FileSum is what a file of an opening adds up to.
type FileSum struct {
	File   FileName
	Hash   [32]byte // SHA-256 of the file as it came
	Rows   int
	Totals []Total // in the order of the columns
}

// Total is what a column of amounts adds up to.
type Total struct {
	Column string
	Amount money.Amount
}

// RecordKind says what a row became.
type RecordKind string

// The kinds of record that rows become.
const (
	APiano     RecordKind = "instrument"
	AReceipt   RecordKind = "stock_move"
	AnOrder    RecordKind = "order"
	ADeposit   RecordKind = "deposit"
	AClientJob RecordKind = "job"
)

// Row is what a row of a file became.
type Row struct {
	Number int // counts the rows of an opening from 1
	Place
	Kind   RecordKind
	Record uuid.UUID
	// On is the day that the row gives: of the purchase, of the receipt. Value is what it adds to the
	// balance of its file.
	On    domain.Date
	Value money.Amount
	// Used is the issue by which what of a delivery was used before leaves the stock; zero: none.
	Used uuid.UUID
	// Billed is what was billed to the client, of a client's job.
	Billed money.Amount
}

// InOrder returns rows in the order of the files and the lines in them, numbered.
func InOrder(rows []Row) []Row {
	slices.SortFunc(rows, func(a, b Row) int {
		return cmp.Or(fileIndex(a.File)-fileIndex(b.File), a.Line-b.Line)
	})
	for i := range rows {
		rows[i].Number = i + 1
	}
	return rows
}

func fileIndex(name FileName) int {
	return slices.IndexFunc(files, func(f file) bool { return f.name == name })
}

// add adds an amount to the total of its column.
func (b *Books) add(of FileName, column string, a money.Amount) {
	i := slices.IndexFunc(b.sums, func(s FileSum) bool { return s.File == of })
	s := &b.sums[i]
	k := slices.IndexFunc(s.Totals, func(t Total) bool { return t.Column == column })
	if k < 0 {
		s.Totals = append(s.Totals, Total{column, a})
		return
	}
	s.Totals[k].Amount = s.Totals[k].Amount.Add(a)
}

// Sums returns what each file adds up to, column by column. Columns without any amount are left
// out.
func (b *Books) Sums() []FileSum {
	for i, s := range b.sums {
		f := files[fileIndex(s.File)]
		slices.SortFunc(b.sums[i].Totals, func(x, y Total) int {
			return cmp.Compare(slices.Index(f.amounts, x.Column), slices.Index(f.amounts, y.Column))
		})
	}
	return b.sums
}

// CheckOnce returns a Conflict Fault where an opening stands already: a workshop opens once.
func CheckOnce(before []Opening, on domain.Date, sums []FileSum) error {
	for _, o := range before {
		switch {
		case o.Reversal != nil:
		case o.OpenedOn == on && same(o.Files, sums):
			return domain.Refuse(domain.Conflict, "the workshop opened with these very files, as opening %s",
				o.ID)
		default:
			return domain.Refuse(domain.Conflict, "the workshop opened on %s with other files, as opening "+
				"%s, and opens once: take that back first", o.OpenedOn, o.ID)
		}
	}
	return nil
}

// same reports whether files are the same to the byte.
func same(a, b []FileSum) bool {
	return slices.EqualFunc(a, b, func(x, y FileSum) bool {
		return x.File == y.File && x.Hash == y.Hash
	})
}

// Resting is something that rests on what a row became.
type Resting struct {
	Place
	What string // as in "an issue", "the sale"
	ID   uuid.UUID
	On   domain.Date
}

// Reverse returns that an opening is taken back, and a Conflict Fault that names everything that
// rests on it.
func (o Opening) Reverse(why string, rests []Resting) (Reversal, error) {
	r := Reversal{Why: why}
	var f domain.Faults
	if strings.TrimSpace(why) == "" {
		f.Add("#/why", "must say why it is taken back")
	}
	f.CheckLength("#/why", why, domain.MaxText)
	if err := f.Err(); err != nil {
		return r, err
	}
	if o.Reversal != nil {
		return r, domain.Refuse(domain.Conflict, "it was taken back already")
	}
	if len(rests) == 0 {
		return r, nil
	}
	fault := domain.Refuse(domain.Conflict, "it can't be taken back: %d things rest on it", len(rests))
	for _, x := range rests[:min(len(rests), domain.MaxListedFaults)] {
		fault.Fields = append(fault.Fields, domain.FieldFault{
			Pointer: fmt.Sprintf("#/%s/%d", x.File, x.Line), Line: x.Line,
			Detail: fmt.Sprintf("%s %s of %s rests on it", x.What, x.ID, x.On),
		})
	}
	return r, fault
}
