package opening

import (
	"bentside/domain"
	"bentside/domain/form"
	"bentside/domain/instrument"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Deposit is what is held of a buyer's deposit for a piano of our own. It is a fact, whatever would
// bar taking it today.
type Deposit struct {
	Place
	StockNumber string
	Buyer       string // name
	TakenOn     domain.Date
	Note        string
	amount      *decimal.Decimal

	Amount money.Amount // that checking adds
}

var depositColumns = columns("stock_number* buyer* amount taken_on note*")

func (b *Books) deposit(r form.Row) {
	b.Deposits = append(b.Deposits, Deposit{
		Place: Place{DepositsFile, r.Line}, StockNumber: r.Text("stock_number"), Buyer: r.Text("buyer"),
		TakenOn: r.Day("taken_on"), Note: r.Text("note"), amount: r.Figure("amount"),
	})
}

// checkDeposits checks all deposits. A piano is kept for one buyer at a time.
func (b *Books) checkDeposits(s Setting) error {
	inHand := map[string]bool{}
	for _, p := range b.Pianos {
		inHand[p.Described.StockNumber] = true
	}
	keptFor := map[string]Deposit{}
	for i := range b.Deposits {
		d := &b.Deposits[i]
		known, there := s.Pianos[d.StockNumber]
		first, kept := keptFor[d.StockNumber]
		switch {
		case !there && !inHand[d.StockNumber]:
			b.wrong(d.Place, "stock_number", "must be that of a piano of our own, here or in %s, not %q",
				PianosFile, d.StockNumber)
		case there && (known.Sold || known.Instrument.Owner != instrument.Stock ||
			known.Instrument.State == instrument.Gone):
			b.wrong(d.Place, "stock_number", "must be that of a piano of our own that isn't sold")
		case known.Deposited:
			b.wrong(d.Place, "stock_number", "must be that of a piano without a deposit: one for %q is "+
				"recorded here already", d.StockNumber)
		case kept && first.Buyer != d.Buyer:
			b.wrong(d.Place, "buyer", "must be the buyer of line %d, for whom the piano is kept", first.Line)
		case !kept:
			keptFor[d.StockNumber] = *d
		}
		b.checkParty(d.Place, "buyer", d.Buyer)
		b.checkBefore(d.Place, "taken_on", d.TakenOn, s)
		b.checkLength(d.Place, "note", d.Note)
		if d.Amount = b.amount(d.Place, "amount", d.amount, s.Currency); d.Amount.IsZero() &&
			!b.isWrong(d.Place, "amount") {
			b.wrong(d.Place, "amount", "must be given, and be more than 0")
		}
	}
	return nil
}

// Taken returns the move by which a deposit is held.
func (d Deposit) Taken(s Setting, id, piano, buyer uuid.UUID) sale.DepositMove {
	return sale.DepositMove{
		ID: id, Deposit: id, Kind: sale.Taken, Instrument: piano, Buyer: buyer, Amount: d.Amount,
		Tax: money.Zero(s.Currency), On: s.Balances(), PostedOn: s.Balances(), Note: d.Note,
	}
}
