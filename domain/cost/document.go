package cost

import (
	"strings"
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// DocumentKind is what a document of cost says.
type DocumentKind string

// The kinds of document.
const (
	Purchased      DocumentKind = "purchase"
	OutsideAgreed  DocumentKind = "outside_agreed"  // a firm will do it at this price
	OutsideAccrued DocumentKind = "outside_accrued" // it has done it and sent no bill yet
	OutsideBilled  DocumentKind = "outside_billed"
	OtherCost      DocumentKind = "other"
	Balance        DocumentKind = "balance"  // what old books say was spent beside the purchase
	Reversal       DocumentKind = "reversal" // of another document, entered wrongly
)

// Document is a record of cost as it was entered: it is kept for good.
type Document struct {
	ID         uuid.UUID
	Kind       DocumentKind
	Instrument uuid.UUID
	Job        uuid.UUID
	Operation  catalogue.Code
	Party      uuid.UUID // the seller, the firm
	Reference  string    // the seller's paper, the bill
	Purpose    Purpose
	Amount     money.Amount // without recoverable tax
	Tax        money.Amount // recoverable, shown apart
	// Of is the document that it takes the place of, or reverses.
	Of uuid.UUID
	// OpenRegimes and MarginPrice are those of a purchase: which ways of taxing the sale it leaves
	// open, and what a margin would be taxed from; nil: the margin scheme is barred.
	OpenRegimes []domain.TaxRegime
	MarginPrice *money.Amount
	Opening     uuid.UUID // that it came in with; zero: none
	On          domain.Date
	PostedOn    domain.Date
	Note        string
	RecordedBy  uuid.UUID
	RecordedAt  time.Time
}

// Stands is what decides on a document: how everything that it is about stands.
type Stands struct {
	Instrument instrument.Instrument
	Job        *job.Job // nil: none was named, or none was found
	Currency   money.Currency
	Regime     domain.TaxRegime // the workshop's
	Books      books.Books
	Today      domain.Date
	// SoldOn is the day of the sale that counts; zero: the instrument isn't sold. MarginTaxed says
	// that the tax of that sale rests on the record of the purchase.
	// ForOwner says that it was sold for its owner.
	SoldOn      domain.Date
	MarginTaxed bool
	ForOwner    bool
	// ExchangedOn is the day of the sale that counts for which the instrument was taken in part
	// payment by the document that is named; zero: it wasn't.
	ExchangedOn domain.Date
	// LostOn is the day on which the instrument was gone without a sale; zero: it wasn't.
	LostOn domain.Date
	// Theirs are the times during which the instrument was a buyer's, in order.
	Theirs []Spell
	// Of is the document that is named; nil: none was named, or none was found. OfLines are the
	// lines with it as their origin, and Replaced says that another has taken its place.
	Of                 *Document
	OfLines            []Line
	Replaced, Reversed bool
}

// checkCommon notes what is wrong in the members that all documents have.
func (d *Document) checkCommon(f *domain.Faults, s Stands) {
	if d.On.IsZero() {
		d.On = s.Today
	}
	d.PostedOn = s.Books.PostingDay(d.On)
	if s.Of != nil {
		d.PostedOn = s.Books.PostingDay(d.On, s.Of.PostedOn)
	}
	f.CheckHappened("#/on", d.On, s.Today)
	checkAmount(f, "#/tax", &d.Tax, s.Currency)
	if s.Regime == domain.NoTax && !d.Tax.IsZero() {
		f.Add("#/tax", "must be left out, and counted in the price: the workshop isn't registered and "+
			"reclaims no tax")
	}
	f.CheckLength("#/reference", d.Reference, domain.MaxName)
	f.CheckLength("#/note", d.Note, domain.MaxText)
}

// checkAmount notes a fault unless an amount is 0 or more of the currency; none is 0.
func checkAmount(f *domain.Faults, pointer string, a *money.Amount, c money.Currency) {
	switch {
	case a.Currency().IsZero():
		*a = money.Zero(c)
	case a.Currency() != c:
		f.Add(pointer+"/currency", "must be %s, the workshop's currency", c)
	case a.Sign() < 0:
		f.Add(pointer+"/amount", "must be 0 or more, not %s; what was entered wrongly is reversed", a)
	case a.Minor() > money.Limit:
		f.Add(pointer+"/amount", "%s is too much", a)
	}
}

// checkPositive is checkAmount for what must be more than 0.
func checkPositive(f *domain.Faults, pointer string, a *money.Amount, c money.Currency) {
	checkAmount(f, pointer, a, c)
	if a.IsZero() {
		f.Add(pointer, "must be more than 0")
	}
}

// checkOperation notes a fault unless the operation, if named, is a task of the job.
func (d Document) checkOperation(f *domain.Faults, s Stands) {
	switch {
	case d.Job != uuid.Nil && s.Job == nil:
		f.Add("#/job", "no job found with this id")
	case d.Operation == "" || s.Job == nil:
	case s.Job.Task(d.Operation) == nil:
		f.Add("#/operation", "must be a task of the job, which has no operation %s", d.Operation)
	}
}

// line returns a line of the document.
func (d Document) line(k Kind, p Purpose, amount money.Amount) Line {
	return Line{
		Instrument: d.Instrument, Job: d.Job, Operation: d.Operation, Kind: k, Purpose: p,
		Amount: amount, On: d.On, PostedOn: d.PostedOn, Source: OfADocument, SourceID: d.ID, Origin: d.ID,
	}
}

// Reverse returns the document that takes another back, which is s.Of, with the lines that do. It
// never was, so it is taken back as of its own day; in the books that counts on the day on which
// the other does, or on the first open day. So what is entered in its place doesn't stand beside it
// for a time.
func Reverse(id uuid.UUID, why string, s Stands, lines []Line) (Document, []Line, error) {
	of := *s.Of
	if strings.TrimSpace(why) == "" {
		return Document{}, nil, domain.RefuseAt(domain.Invalid, "#/why", "must say why it is reversed")
	}
	switch {
	case of.Kind == Reversal:
		return Document{}, nil, domain.Refuse(domain.Conflict,
			"it reverses another document and isn't itself reversed: enter the other one anew")
	case s.Reversed:
		return Document{}, nil, domain.Refuse(domain.Conflict, "it has been reversed already")
	case s.Replaced:
		return Document{}, nil, domain.Refuse(domain.Conflict,
			"another document has taken its place: reverse that first")
	case of.Kind == Purchased && s.MarginTaxed:
		return Document{}, nil, domain.Refuse(domain.Conflict,
			"the tax of its sale on %s rests on this purchase, which can't be taken back before the "+
				"instrument is", s.SoldOn)
	}
	if !s.ExchangedOn.IsZero() {
		return Document{}, nil, domain.Refuse(domain.Conflict,
			"the instrument was taken in part payment for a sale on %s, which rests on this purchase",
			s.ExchangedOn)
	}
	d := Document{
		ID: id, Kind: Reversal, Instrument: of.Instrument, Job: of.Job, Operation: of.Operation,
		Party: of.Party, Reference: of.Reference, Purpose: of.Purpose, Amount: of.Amount.Neg(),
		Tax: money.Zero(of.Tax.Currency()), Of: of.ID, Opening: of.Opening, On: of.On,
		PostedOn: s.Books.PostingDay(of.PostedOn), Note: why,
	}
	var back []Line
	for _, l := range lines {
		if l.SourceID != of.ID {
			continue
		}
		l.ID, l.Amount, l.SourceID, l.PostedOn = uuid.Nil, l.Amount.Neg(), id, d.PostedOn
		back = append(back, l)
	}
	return d, numbered(back), nil
}
