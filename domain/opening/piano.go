package opening

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/form"
	"bentside/domain/instrument"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Piano is an instrument of our own as the old books have it.
type Piano struct {
	Place
	Described instrument.Instrument // fields that no cell gives are empty
	BoughtOn  domain.Date
	Seller    string // name
	Paper     string // of the seller
	Margin    string // yes or no: whether the margin scheme is open to its sale
	Note      string
	figures   map[string]*decimal.Decimal

	// What checking adds: the instrument that has the number already, if there is one, with the open
	// job on it, and the amounts by column.
	Known   *KnownPiano
	Amounts map[string]money.Amount
}

// KnownPiano is what the service knows of an instrument with the number of a row.
type KnownPiano struct {
	Instrument instrument.Instrument
	Job        uuid.UUID // the open one; zero: none
	Costed     bool      // something of before the opening was posted, or a purchase is recorded
	Deposited  bool      // a deposit for it is held
	Sold       bool
}

// acquired are the columns of what a piano cost to acquire, and worked those of what was done on
// it, with the kinds of cost that they are.
var (
	acquired = []kindColumn{
		{"purchase_price", cost.PurchasePrice},
		{"buyers_premium", cost.BuyersPremium},
		{"transport_in", cost.TransportIn},
		{"duty", cost.Duty},
	}
	worked = []kindColumn{
		{"parts", cost.Parts},
		{"labour", cost.Labour},
		{"overhead", cost.Overhead},
		{"outside_work", cost.OutsideWork},
	}
)

type kindColumn struct {
	column string
	kind   cost.Kind
}

const (
	writeDown   = "write_down"
	marginPrice = "margin_price"
)

var (
	pianoAmounts = []string{
		"purchase_price", "buyers_premium", "transport_in", "duty", "parts", "labour", "overhead",
		"outside_work", writeDown, marginPrice,
	}
	pianoColumns = columns("stock_number* kind maker* model* serial* year size_mm notes covering " +
		"finish colour* action bought_on seller* paper* purchase_price buyers_premium transport_in duty " +
		"parts labour overhead outside_work write_down margin_open margin_price note*")
)

func (b *Books) piano(r form.Row) {
	p := Piano{
		Place: Place{PianosFile, r.Line},
		Described: instrument.Instrument{
			StockNumber: r.Text("stock_number"), Kind: catalogue.Kind(r.Text("kind")),
			Maker: r.Text("maker"), Model: r.Text("model"), Serial: r.Text("serial"),
			Year: r.Whole("year"), SizeMM: r.Whole("size_mm"), Notes: r.Whole("notes"),
			Covering: r.Text("covering"), Finish: r.Text("finish"), Colour: r.Text("colour"),
			Action: r.Text("action"), Owner: instrument.Stock, State: instrument.Waiting,
		},
		BoughtOn: r.Day("bought_on"), Seller: r.Text("seller"), Paper: r.Text("paper"),
		Margin: r.Text("margin_open"), Note: r.Text("note"), figures: map[string]*decimal.Decimal{},
	}
	for _, c := range pianoAmounts {
		p.figures[c] = r.Figure(c)
	}
	b.Pianos = append(b.Pianos, p)
}

// StockNumbers returns the numbers of the pianos that the rows name.
func (b *Books) StockNumbers() []string {
	var numbers []string
	for _, p := range b.Pianos {
		numbers = append(numbers, p.Described.StockNumber)
	}
	for _, d := range b.Deposits {
		numbers = append(numbers, d.StockNumber)
	}
	return numbers
}

// checkPianos checks all pianos.
func (b *Books) checkPianos(s Setting) error {
	first := map[string]int{}
	for i := range b.Pianos {
		p := &b.Pianos[i]
		number := p.Described.StockNumber
		switch line, twice := first[number]; {
		case number == "":
			b.wrong(p.Place, "stock_number", "must be given")
		case twice:
			b.wrong(p.Place, "stock_number", "must be different for each piano: line %d has %q too", line,
				number)
		default:
			first[number] = p.Line
		}
		if known, there := s.Pianos[number]; there {
			p.Known = &known
			b.checkKnown(*p)
		} else if err := b.noted([]Place{p.Place}, p.Described.Check(s.Today.Year), nil); err != nil {
			return err
		}
		for _, x := range []struct{ column, text string }{
			{"stock_number", number},
			{"model", p.Described.Model},
			{"serial", p.Described.Serial},
			{"colour", p.Described.Colour},
			{"seller", p.Seller},
			{"paper", p.Paper},
			{"note", p.Note},
		} {
			b.checkLength(p.Place, x.column, x.text)
		}
		b.checkBefore(p.Place, "bought_on", p.BoughtOn, s)
		p.Amounts = map[string]money.Amount{}
		for _, c := range pianoAmounts {
			p.Amounts[c] = b.amount(p.Place, c, p.figures[c], s.Currency)
		}
		if p.figures["purchase_price"] == nil {
			b.wrong(p.Place, "purchase_price", "must be given; 0 where nothing was paid")
		}
		known := !slices.ContainsFunc(pianoAmounts, func(c string) bool { return b.isWrong(p.Place, c) })
		b.checkMargin(*p, s, known)
		if known && p.Cost().Cmp(p.Amounts[writeDown]) < 0 {
			b.wrong(p.Place, writeDown, "must be at most %s, what the piano has cost", p.Cost())
		}
	}
	return nil
}

// checkKnown checks a piano that is in the service already: as the one that the row describes, and
// as one without costs of before the opening.
func (b *Books) checkKnown(p Piano) {
	is, says := p.Known.Instrument, p.Described
	switch {
	case is.Owner != instrument.Stock:
		b.wrong(p.Place, "stock_number", "must be that of a piano of our own, or new: %q isn't ours",
			is.StockNumber)
	case p.Known.Sold || is.State == instrument.Gone:
		b.wrong(p.Place, "stock_number", "must be that of a piano in hand: %q is sold", is.StockNumber)
	case p.Known.Costed:
		b.wrong(p.Place, "stock_number", "must be that of a piano without costs of before the "+
			"opening: what %q had cost by then is recorded here already", is.StockNumber)
	}
	for _, x := range []struct {
		column   string
		differs  bool
		recorded any
	}{
		{"kind", says.Kind != "" && says.Kind != is.Kind, is.Kind},
		{"maker", says.Maker != "" && says.Maker != is.Maker, is.Maker},
		{"model", says.Model != "" && says.Model != is.Model, is.Model},
		{"serial", says.Serial != "" && says.Serial != is.Serial, is.Serial},
		{"year", says.Year != 0 && says.Year != is.Year, is.Year},
		{"size_mm", says.SizeMM != 0 && says.SizeMM != is.SizeMM, is.SizeMM},
		{"notes", says.Notes != 0 && says.Notes != is.Notes, is.Notes},
		{"covering", says.Covering != "" && says.Covering != is.Covering, is.Covering},
		{"finish", says.Finish != "" && says.Finish != is.Finish, is.Finish},
		{"colour", says.Colour != "" && says.Colour != is.Colour, is.Colour},
		{"action", says.Action != "" && says.Action != is.Action, is.Action},
	} {
		if x.differs {
			b.wrong(p.Place, x.column, "must be empty, or as the piano %q is recorded here: %v",
				is.StockNumber, x.recorded)
		}
	}
}

// checkMargin checks what a margin would be taxed from. It never holds what was spent on the piano
// since (gov.uk, VAT margin schemes; articles 311 to 315 of Directive 2006/112/EC), so that it is
// no more than price and premium, where those are known.
func (b *Books) checkMargin(p Piano, s Setting, known bool) {
	given := p.figures[marginPrice] != nil
	paid := p.Amounts["purchase_price"].Add(p.Amounts["buyers_premium"])
	switch {
	case s.Regime == domain.NoTax && (p.Margin != "" || given):
		b.wrong(p.Place, "margin_open", "must be empty, and margin_price too: the workshop isn't "+
			"registered and charges no tax")
	case s.Regime == domain.NoTax:
	case p.Margin != "yes" && p.Margin != "no":
		b.wrong(p.Place, "margin_open", "must be yes or no: whether the margin scheme is open to its sale")
	case p.Margin == "no" && given:
		b.wrong(p.Place, marginPrice, "must be empty where the margin scheme is barred")
	case p.Margin == "yes" && !given:
		b.wrong(p.Place, marginPrice, "must be given where the margin scheme is open: what the seller "+
			"was paid in all")
	case known && p.Amounts[marginPrice].Cmp(paid) > 0:
		b.wrong(p.Place, marginPrice, "must be at most %s, what purchase_price and buyers_premium come "+
			"to: what was spent on the piano is never part of it", paid)
	}
}

// Cost returns what a piano has cost, before its write-down.
func (p Piano) Cost() money.Amount {
	sum := money.Zero(p.Amounts[writeDown].Currency())
	for _, x := range append(append([]kindColumn{}, acquired...), worked...) {
		sum = sum.Add(p.Amounts[x.column])
	}
	return sum
}

// Carrying returns what a piano stands at in stock.
func (p Piano) Carrying() money.Amount { return p.Cost().Sub(p.Amounts[writeDown]) }

// Documents returns the purchase of a piano and, where something was done on it, what that came to,
// with their lines. What was done belongs to the open job.
func (p Piano) Documents(s Setting, id, seller, by uuid.UUID, newID func() uuid.UUID) (
	[]cost.Document, []cost.Line,
) {
	zero := money.Zero(s.Currency)
	bought := cost.Document{
		ID: newID(), Kind: cost.Purchased, Instrument: id, Party: seller, Reference: p.Paper,
		Purpose: cost.Acquisition, Amount: zero, Tax: zero, On: p.BoughtOn, PostedOn: s.Balances(),
		Note: p.Note, Opening: by,
	}
	switch {
	case s.Regime == domain.NoTax:
		bought.OpenRegimes = []domain.TaxRegime{domain.NoTax}
	case p.Margin == "yes":
		price := p.Amounts[marginPrice]
		bought.OpenRegimes = []domain.TaxRegime{domain.MarginTax, domain.StandardTax}
		bought.MarginPrice = &price
	default:
		bought.OpenRegimes = []domain.TaxRegime{domain.StandardTax}
	}
	var shares []cost.Share
	for _, x := range acquired {
		bought.Amount = bought.Amount.Add(p.Amounts[x.column])
		shares = append(shares, cost.Share{
			Kind: x.kind, Purpose: cost.Acquisition, Amount: p.Amounts[x.column],
		})
	}
	documents, lines := []cost.Document{bought}, bought.BroughtIn(shares, s.Balances())
	job := uuid.Nil
	if p.Known != nil {
		job = p.Known.Job
	}
	if d, more := balance(s, newID(), id, job, by, workShares(p.Amounts)); len(more) > 0 {
		documents, lines = append(documents, d), append(lines, more...)
	}
	return documents, lines
}

// Valuation returns the look by which a piano stands at less than it has cost; false where it
// doesn't.
func (p Piano) Valuation(s Setting, id, piano uuid.UUID) (sale.Valuation, bool) {
	return lookAt(id, piano, p.Cost(), p.Cost(), p.Carrying(), s.Balances(),
		"written down in the old books"), !p.Amounts[writeDown].IsZero()
}

func lookAt(
	id, piano uuid.UUID, spent, was, is money.Amount, on domain.Date, evidence string,
) sale.Valuation {
	zero := money.Zero(spent.Currency())
	return sale.Valuation{
		ID: id, Instrument: piano, Price: is, ToComplete: zero, ToSell: zero, Cost: spent, Carrying: was,
		Now: is, On: on, PostedOn: on, Note: evidence,
	}
}

// WrittenUp returns the look by which a piano stands at its cost again before an opening is taken
// back, given what it had cost by that; false where it wasn't written down. It counts with the
// balances, unless the books are closed by then.
func (r Row) WrittenUp(
	o Opening, spent money.Amount, id uuid.UUID, why string,
) (sale.Valuation, bool) {
	return lookAt(id, r.Record, spent, r.Value, spent, o.BalancesOn(), why), r.Value != spent
}

// workShares returns what was done on an instrument, by kind.
func workShares(amounts map[string]money.Amount) []cost.Share {
	shares := make([]cost.Share, len(worked))
	for i, x := range worked {
		shares[i] = cost.Share{Kind: x.kind, Purpose: cost.Work, Amount: amounts[x.column]}
	}
	return shares
}

// balance returns the document of what an instrument had cost beside its purchase, with its lines.
func balance(s Setting, id, piano, job, by uuid.UUID, of []cost.Share) (
	cost.Document, []cost.Line,
) {
	d := cost.Document{
		ID: id, Kind: cost.Balance, Instrument: piano, Job: job, Purpose: cost.Work,
		Amount: money.Zero(s.Currency), Tax: money.Zero(s.Currency), On: s.Balances(),
		PostedOn: s.Balances(), Opening: by,
	}
	for _, x := range of {
		d.Amount = d.Amount.Add(x.Amount)
	}
	return d, d.BroughtIn(of, s.Balances())
}
