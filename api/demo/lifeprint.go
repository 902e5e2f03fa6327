package demo

import (
	"fmt"
	"io"
	"strings"

	"bentside/pricing/money"
)

// PrintLife writes the life of a piano and what it came to, with every sum that adds up to it.
func (s Story) PrintLife(out io.Writer) error {
	p, l := &printer{}, s.Life
	i := l.Instrument
	p.line("THE LIFE OF %s, %s %s, NO %s", i.StockNumber, strings.ToUpper(i.Maker),
		strings.ToUpper(string(i.Kind)), i.Serial)
	for _, x := range l.Told {
		p.line("  %s  %s", x.On, x.Says)
	}
	l.printCost(p)
	l.printVariance(p)
	l.printAccount(p)
	l.printBid(p)
	_, err := io.WriteString(out, p.String())
	return err
}

// sum is a line of a sum: what it is, and how much.
type sum struct {
	says   string
	amount money.Amount
}

// sum prints amounts below each other, and what they come to.
func (p *printer) sum(lines []sum, total sum) {
	for _, l := range lines {
		p.line("  %-62s%10s", l.says, l.amount.Text())
	}
	p.line("  %72s", strings.Repeat("-", len(total.amount.Text())))
	p.line("  %-62s%10s", total.says, total.amount.Text())
}

// printCost prints the landed cost by kind: what is a cost of stock, and all of it.
func (l *Life) printCost(p *printer) {
	p.line("\nWHAT IT COST, IN %s%32s%12s", l.Cost.Currency.Code(), "as stock", "in all")
	row := func(says string, stock, all money.Amount) {
		p.line("  %-42s%10s%12s", says, stock.Text(), all.Text())
	}
	for _, s := range l.Cost.Sums {
		says := strings.ReplaceAll(fmt.Sprintf("%s, %s", s.Kind, s.Purpose), "_", " ")
		if s.Minutes > 0 {
			says += fmt.Sprintf(", %.1f h", float64(s.Minutes)/60)
		}
		row(says, s.Inventory, s.Management)
	}
	row("landed, and in all", l.Cost.Spent.Inventory, l.Cost.Spent.Management)
}

// printVariance prints why the job came to something else than was estimated.
func (l *Life) printVariance(p *printer) {
	j := l.Cost.Jobs[0]
	v := j.Variance
	p.line("\nWHY THE WORK COST SOMETHING ELSE THAN ESTIMATED")
	p.sum([]sum{
		{"estimated when it was accepted, likely", j.Baseline.Likely},
		{"scope: work that was agreed on since", v.Scope},
		{"hours: more than planned, at the rates of the estimate", v.Hours},
		{"rate: what the hours cost beside those rates", v.Rate},
		{"price: parts and outside work beside what was planned", v.Price},
		{"rework", v.Rework},
		{"what the estimate doesn't cover", v.Beyond},
	}, sum{"the work came to", j.AtCompletion.Likely})
}

// printAccount prints what the sale left.
func (l *Life) printAccount(p *printer) {
	a, x := l.Outcome.Account, l.Outcome.Account.Deals[0]
	p.line("\nWHAT IT BROUGHT")
	p.sum([]sum{
		{"sold for", x.Sale.Price},
		{fmt.Sprintf("tax contained in the margin of %s, at %s", x.Sale.Base.Text(), share(&x.Sale.Rate)), x.Tax.Neg()},
		{"what it had cost as stock", a.CostOfSales.Neg()},
	}, sum{"margin", a.Margin})
	p.sum([]sum{
		{"selling: its delivery", a.Selling.Neg()},
		{"hours of the proprietor, whom nobody pays", a.Other.Neg()},
	}, sum{"left", a.Result})
}

// printBid prints what the bid expected beside what came.
func (l *Life) printBid(p *printer) {
	b := l.Outcome.Bid
	p.line("\nWHAT THE BID EXPECTED%32s%12s%12s", "expected", "came", "beside")
	row := func(says string, expected, came money.Amount) {
		p.line("  %-38s%13s%12s%12s", says, expected.Text(), came.Text(), came.Sub(expected).Text())
	}
	for _, i := range b.Items {
		if !i.Expected.IsZero() || !i.Actual.IsZero() {
			row(string(i.Item), i.Expected, i.Actual)
		}
	}
	row("profit", b.ExpectedProfit, b.ActualProfit)
	p.line("  Ready %s, expected %s; sold %s, expected %s.", b.ReadyOn, b.Expected.ReadyOn, b.SoldOn,
		b.Expected.SellOn)
}
