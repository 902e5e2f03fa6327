package contract

import (
	"bentside/domain"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Stage is how far a contract has come by a day.
type Stage string

// The stages of a contract.
const (
	UnderWay Stage = "under_way"
	Finished Stage = "finished" // the work is done, so that all of the price is earned
	GivenUp  Stage = "given_up" // and not settled
	Settled  Stage = "settled"  // given up, and what is invoiced stays ours
)

// Measure is what the revenue of a contract at the end of a day follows from.
type Measure struct {
	Policy domain.RevenuePolicy
	Stage  Stage
	// Price is what the client had accepted by then, without tax.
	Price money.Amount
	// Effort is what the work had cost by then as a measure of progress: a proprietor's hours count at
	// their notional rate, since what is left doesn't say who does it; abnormal rework and what is no
	// work on the instrument don't count (IFRS 15, B19). Left is what the work was expected to cost
	// from there on, in the same measure.
	Effort, Left money.Amount
	// Cost is what counts as cost of the contract, in the view of the accounts.
	Cost money.Amount
	// Invoiced is what was invoiced less what was credited, without tax.
	Invoiced money.Amount
	// Held is what was held of the client's deposits.
	Held money.Amount
}

// Position is how a contract stands in the books at the end of a day. Amounts are without tax,
// apart from deposits.
type Position struct {
	Price    money.Amount
	Cost     money.Amount // so far
	Expected money.Amount // cost at completion
	Progress decimal.Decimal
	Revenue  money.Amount // recognised so far
	Expensed money.Amount // cost of sales so far
	Deferred money.Amount // cost that waits for its revenue; nothing while revenue is earned over time
	Loss     money.Amount // provided for what the rest is expected to lose
	Invoiced money.Amount
	// Asset is what is earned and not invoiced, Liability what is invoiced and not earned. One of them
	// is zero.
	Asset, Liability money.Amount
	Held             money.Amount // of deposits, tax included: owed to the client until applied
}

// Profit returns what the contract has brought so far, losses that are expected included.
func (p Position) Profit() money.Amount { return p.Revenue.Sub(p.Expensed).Sub(p.Loss) }

// progressPlaces is how many decimals progress is told with.
const progressPlaces = 6

// Position works out how a contract stands. Progress is the cost of the work so far over its
// expected cost at completion, and revenue the price times that, rounded once (cost to cost; IFRS
// 15, paragraphs 39 to 45, B18 and B19). What is installed only later isn't taken out (B19(b)):
// parts are issued when they are used. A deposit that an invoice took up has paid that invoice
// and is no second claim of the client's; the rest is told beside, and not set off.
func (m Measure) Position() (Position, error) {
	zero := money.Zero(m.Price.Currency())
	p := Position{
		Price: m.Price, Cost: m.Cost, Expected: m.Cost, Progress: decimal.Zero, Revenue: zero,
		Expensed: m.Cost, Deferred: zero, Loss: zero, Invoiced: m.Invoiced, Asset: zero,
		Liability: zero, Held: m.Held,
	}
	if m.Stage == UnderWay {
		p.Expected = m.Cost.Add(m.Left)
	}
	var err error
	if p.Revenue, err = m.revenue(); err != nil {
		return p, err
	}
	if p.Progress, err = m.progress(); err != nil {
		return p, err
	}
	if m.Policy == domain.OnCompletion && m.Stage == UnderWay {
		p.Expensed, p.Deferred = zero, m.Cost
	}
	if m.Stage == UnderWay {
		p.Loss = m.expectedLoss(p)
	}
	if open := p.Revenue.Sub(p.Invoiced); open.Sign() > 0 {
		p.Asset = open
	} else {
		p.Liability = open.Neg()
	}
	return p, nil
}

// revenue returns what is earned.
func (m Measure) revenue() (money.Amount, error) {
	switch {
	case m.Stage == Finished:
		return m.Price, nil
	case m.Stage == Settled:
		return m.Invoiced, nil
	case m.Policy == domain.OnCompletion && m.Stage == UnderWay, m.Effort.Sign() <= 0:
		return money.Zero(m.Price.Currency()), nil
	case m.Left.Sign() <= 0:
		return m.Price, nil
	}
	all := m.Effort.Add(m.Left)
	return m.Price.MulRatio(m.Effort.Minor(), all.Minor(), money.HalfUp)
}

// progress returns the share of the work that is done, whatever the policy; never rounded up to 1.
func (m Measure) progress() (decimal.Decimal, error) {
	switch {
	case m.Stage == Finished:
		return domain.One, nil
	case m.Effort.Sign() <= 0:
		return decimal.Zero, nil
	case m.Left.Sign() <= 0:
		return domain.One, nil
	}
	all := m.Effort.Add(m.Left)
	return m.Effort.Decimal().DivRound(all.Decimal(), decimalPlaces).Truncate(progressPlaces), nil
}

// expectedLoss returns what of an expected loss isn't in the accounts yet: with it they bear the
// whole loss at once (IAS 37, paragraphs 66 to 69; IAS 11, paragraph 36, before that, from
// memory).
func (m Measure) expectedLoss(p Position) money.Amount {
	zero := money.Zero(m.Price.Currency())
	whole := p.Expected.Sub(m.Price)
	if whole.Sign() <= 0 {
		return zero
	}
	borne := p.Expensed.Sub(p.Revenue)
	if rest := whole.Sub(borne); rest.Sign() > 0 {
		return rest
	}
	return zero
}

// Add returns the sum of two positions. Progress isn't summed.
func (p Position) Add(q Position) Position {
	return Position{
		Price: p.Price.Add(q.Price), Cost: p.Cost.Add(q.Cost), Expected: p.Expected.Add(q.Expected),
		Revenue: p.Revenue.Add(q.Revenue), Expensed: p.Expensed.Add(q.Expensed),
		Deferred: p.Deferred.Add(q.Deferred), Loss: p.Loss.Add(q.Loss),
		Invoiced: p.Invoiced.Add(q.Invoiced), Asset: p.Asset.Add(q.Asset),
		Liability: p.Liability.Add(q.Liability), Held: p.Held.Add(q.Held),
	}
}
