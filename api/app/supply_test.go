package app_test

import (
	"context"
	"fmt"
	"math/big"
	"math/rand/v2"
	"sync"
	"testing"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/supply"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// trade is what several hands do with one supplier at once, and the slow model of it: what was
// accepted, receipt by receipt and bill by bill, added up anew in exact fractions.
type trade struct {
	mu       sync.Mutex
	app      *app.App
	who      app.Actor
	supplier uuid.UUID
	parts    []uuid.UUID

	orders   []supply.Order
	arrivals []arrived
	bills    []supply.Bill
	credits  []supply.Bill
	returns  []supply.Returned
	payments []supply.Payment
	refused  map[domain.FaultKind]int
}

type arrived struct {
	order uuid.UUID
	rate  decimal.Decimal
	money money.Currency
	units decimal.Decimal
	price money.Amount
	value money.Amount
	id    uuid.UUID
}

var dollars = money.MustCurrency("USD")

// step does one thing at random.
func (tr *trade) step(t *testing.T, r *rand.Rand, n string) {
	t.Helper()
	err := []func(context.Context, *rand.Rand, string) error{
		tr.order, tr.deliver, tr.deliver, tr.bill, tr.bill, tr.sendBack, tr.credit, tr.pay, tr.issue,
	}[r.IntN(9)](t.Context(), r, n)
	kind := faultKind(err)
	if err != nil && kind != domain.Conflict && kind != domain.Invalid {
		t.Errorf("refused with %v", err)
	}
	tr.mu.Lock()
	tr.refused[kind]++
	tr.mu.Unlock()
}

// pick returns one of what is known so far, and false where there is nothing.
func keep[T any](tr *trade, list *[]T, x T) {
	tr.mu.Lock()
	*list = append(*list, x)
	tr.mu.Unlock()
}

func pieces(r *rand.Rand, most int64) decimal.Decimal {
	return decimal.NewFromInt(1 + r.Int64N(most))
}

func (tr *trade) order(ctx context.Context, r *rand.Rand, _ string) error {
	o := supply.Order{Supplier: tr.supplier, Expected: domain.DateOf(morning).AddDays(9)}
	o.Currency = money.MustCurrency("EUR")
	if r.IntN(2) == 0 {
		o.Terms = supply.Terms{Currency: dollars, Rate: decimal.RequireFromString("0.9234567")}
	}
	for _, p := range tr.parts {
		o.Lines = append(o.Lines, supply.Line{
			Part: p, Quantity: pieces(r, 20), Price: money.FromMinor(r.Int64N(9000), o.Currency),
		})
	}
	made, err := tr.app.PlaceOrder(ctx, tr.who, o)
	if err == nil {
		keep(tr, &tr.orders, made.Value)
	}
	return err
}

func (tr *trade) deliver(ctx context.Context, r *rand.Rand, n string) error {
	o, ok := pick(r, &tr.mu, &tr.orders)
	if !ok {
		return nil
	}
	d := supply.Delivery{Order: o.ID, Reference: "L " + n}
	for _, l := range o.Lines {
		d.Lines = append(d.Lines, supply.Arrival{Line: l.Number, Quantity: pieces(r, 8)})
	}
	made, err := tr.app.Deliver(ctx, tr.who, d)
	if err != nil {
		return err
	}
	for _, a := range made.Lines {
		keep(tr, &tr.arrivals, arrived{
			order: o.ID, rate: o.Rate, money: o.Currency, units: a.Units, price: a.Price, value: a.Value,
			id: a.Receipt,
		})
	}
	return nil
}

func (tr *trade) bill(ctx context.Context, r *rand.Rand, n string) error {
	a, ok := pick(r, &tr.mu, &tr.arrivals)
	if !ok {
		return nil
	}
	q := pieces(r, a.units.IntPart())
	amount := money.FromMinor(r.Int64N(5000), a.money)
	freight := money.FromMinor(1+r.Int64N(300), a.money)
	x := supply.Shared{Kind: supply.Freight, By: supply.ByValue, Amount: freight}
	if other, ok := pick(r, &tr.mu, &tr.arrivals); ok && other.id != a.id && r.IntN(2) == 0 {
		x.Over = []supply.Share{{Receipt: a.id}, {Receipt: other.id}}
	}
	b, err := tr.app.EnterBill(ctx, tr.who, supply.Bill{
		Supplier: tr.supplier, Reference: "R " + n, On: domain.DateOf(morning),
		Terms:  supply.Terms{Currency: a.money, Rate: rateOf(a)},
		Lines:  []supply.BillLine{{Kind: supply.Goods, Receipt: a.id, Quantity: &q, Amount: amount}},
		Shared: []supply.Shared{x},
		Tax:    money.Zero(a.money), Total: amount.Add(freight),
	})
	if err == nil {
		keep(tr, &tr.bills, b)
	}
	return err
}

// rateOf is the rate of the day of a bill, which isn't that of the order.
func rateOf(a arrived) decimal.Decimal {
	if a.money == dollars {
		return decimal.RequireFromString("0.9311")
	}
	return decimal.Zero
}

func (tr *trade) sendBack(ctx context.Context, r *rand.Rand, _ string) error {
	a, ok := pick(r, &tr.mu, &tr.arrivals)
	if !ok {
		return nil
	}
	x, err := tr.app.SendBack(ctx, tr.who, supply.Returned{
		Order: a.order, Receipt: a.id, Quantity: pieces(r, 4), Replacement: r.IntN(2) == 0,
		Reason: "cracked",
	})
	if err == nil {
		keep(tr, &tr.returns, x)
	}
	return err
}

func (tr *trade) credit(ctx context.Context, r *rand.Rand, n string) error {
	b, ok := pick(r, &tr.mu, &tr.bills)
	if !ok {
		return nil
	}
	q, x := pieces(r, 3), b.Lines[0]
	line := supply.BillLine{
		Kind: supply.GoneBack, Receipt: x.Receipt, Quantity: &q,
		Amount: money.FromMinor(r.Int64N(900), b.Currency),
	}
	if r.IntN(2) == 0 {
		line.Kind, line.Quantity = supply.Allowance, nil
		line.Amount = money.FromMinor(1+r.Int64N(100), b.Currency)
	}
	c, err := tr.app.EnterBill(ctx, tr.who, supply.Bill{
		Credits: b.ID, Supplier: tr.supplier, Reference: "G " + n, On: domain.DateOf(morning),
		Terms: supply.Terms{Currency: b.Currency}, Lines: []supply.BillLine{line},
		Tax: money.Zero(b.Currency), Total: line.Amount,
	})
	if err == nil {
		keep(tr, &tr.credits, c)
	}
	return err
}

func (tr *trade) pay(ctx context.Context, r *rand.Rand, _ string) error {
	b, ok := pick(r, &tr.mu, &tr.bills)
	if !ok {
		return nil
	}
	p, _, err := tr.app.PayBill(ctx, tr.who, supply.Payment{
		Bill: b.ID, Amount: money.FromMinor(1+r.Int64N(2000), b.Currency),
		Discount: money.FromMinor(r.Int64N(90), b.Currency),
	})
	if err == nil {
		keep(tr, &tr.payments, p)
	}
	return err
}

func (tr *trade) issue(ctx context.Context, r *rand.Rand, _ string) error {
	_, err := tr.app.MoveStock(ctx, tr.who, issueOf(tr.parts[r.IntN(len(tr.parts))], 1+r.Int64N(4)))
	return err
}

// Four hands order, receive, bill, return, credit and pay at once, at random and with much that is
// refused. Afterwards what stock and jobs and all else hold of it is, to the cent, what was billed
// and is delivered and not billed; and of each currency what is owed is what was billed and neither
// credited nor paid.
func TestWhatIsHeldIsWhatWasBilledAndWhatIsNotBilledYetWhoeverTrades(t *testing.T) {
	t.Parallel()
	const hands, each = 4, 45
	a, db := opened(t, hands, atMorning)
	who := founded(t, a)
	party, err := a.AddParty(t.Context(), who, domain.Party{Name: "Felt & Wire"})
	if err != nil {
		t.Fatal(err)
	}
	tr := &trade{
		app: a, who: who, supplier: party.Value.ID, refused: map[domain.FaultKind]int{},
		parts: []uuid.UUID{
			newPart(t, a, who, "F-1", valuation.FIFO), newPart(t, a, who, "M-1", valuation.MovingAverage),
		},
	}
	var wg sync.WaitGroup
	for hand := range hands {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(uint64(hand), 7))
			for n := range each {
				tr.step(t, r, fmt.Sprintf("%d-%d", hand, n))
			}
		})
	}
	wg.Wait()
	t.Logf("%d arrivals, %d bills, %d credit notes, %d returns, %d payments; refused %v",
		len(tr.arrivals), len(tr.bills), len(tr.credits), len(tr.returns), len(tr.payments), tr.refused)
	for what, n := range map[string]int{
		"arrivals": len(tr.arrivals), "bills": len(tr.bills), "credit notes": len(tr.credits),
		"returns": len(tr.returns), "payments": len(tr.payments), "refusals": tr.refused[domain.Conflict],
	} {
		if n == 0 && !testing.Short() {
			t.Errorf("no %s", what)
		}
	}
	wantKeptTotals(t, db)
	c, err := pgx.Connect(t.Context(), db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // the test has its answer
	tr.wantHeld(t, c)
	tr.wantOwed(t, c)
}

// wantHeld compares what the entries of stock add up to with the model.
func (tr *trade) wantHeld(t *testing.T, c *pgx.Conn) {
	t.Helper()
	var held, sentBack int64
	err := c.QueryRow(t.Context(), `
		SELECT coalesce(sum(e.value) FILTER (WHERE m.kind IS DISTINCT FROM 'sent_back'), 0)::bigint,
		coalesce(sum(e.value) FILTER (WHERE m.kind = 'sent_back'), 0)::bigint
		FROM stock_entries e
		LEFT JOIN stock_moves m ON m.id = e.out_on`).Scan(&held, &sentBack)
	if err != nil {
		t.Fatal(err)
	}
	billed, returned := map[uuid.UUID]decimal.Decimal{}, map[uuid.UUID]decimal.Decimal{}
	credited := map[uuid.UUID]decimal.Decimal{}
	net, apart, goneBack := int64(0), int64(0), int64(0)
	for _, b := range tr.bills {
		billed[b.Lines[0].Receipt] = billed[b.Lines[0].Receipt].Add(b.Lines[0].Units)
		net += b.HomeNet.Minor()
		apart += apartOf(b.Adjustments)
	}
	for _, x := range tr.returns {
		returned[x.Receipt] = returned[x.Receipt].Add(x.Units)
	}
	for _, b := range tr.credits {
		net -= b.HomeNet.Minor()
		apart += apartOf(b.Adjustments)
		if x := b.Lines[0]; x.Kind == supply.GoneBack {
			credited[x.Receipt] = credited[x.Receipt].Add(x.Units)
			goneBack += x.Home.Minor()
		}
	}
	for _, p := range tr.payments {
		for _, x := range p.Adjustments {
			net += x.Amount.Minor() + x.Apart.Minor()
		}
		apart += apartOf(p.Adjustments)
	}
	unbilled, lost := int64(0), sentBack-goneBack+apart
	for _, x := range tr.arrivals {
		back, paid := x.worth(returned[x.id]), x.worth(credited[x.id])
		unbilled += x.value.Minor() - x.worth(billed[x.id]) - back + paid
		lost += paid - back
	}
	if held != net+unbilled-lost {
		t.Errorf("%d is held, but %d was billed, %d is delivered and not billed and %d was lost on returns",
			held, net, unbilled, lost)
	}
}

func apartOf(all []supply.Adjustment) int64 {
	sum := int64(0)
	for _, x := range all {
		sum += x.Apart.Minor()
	}
	return sum
}

// worth is what so many units of an arrival are at the order's price, in exact fractions, rounded
// half up.
func (a arrived) worth(units decimal.Decimal) int64 {
	x := new(big.Rat).Mul(big.NewRat(a.value.Minor(), 1), units.Rat())
	x.Quo(x, a.units.Rat()).Add(x, big.NewRat(1, 2))
	return new(big.Int).Div(x.Num(), x.Denom()).Int64()
}

// wantOwed compares what is kept as owed with what bills, credit notes and payments come to, and
// the kept counts with the rows that they are sums of.
func (tr *trade) wantOwed(t *testing.T, c *pgx.Conn) {
	t.Helper()
	owed := map[string]int64{}
	for _, b := range tr.bills {
		owed[b.Currency.Code()] += b.Total.Minor()
	}
	for _, b := range tr.credits {
		owed[b.Currency.Code()] -= b.Total.Minor()
	}
	for _, p := range tr.payments {
		owed[p.Amount.Currency().Code()] -= p.Settles().Minor()
	}
	for currency, want := range owed {
		var got int64
		err := c.QueryRow(t.Context(), `
			SELECT sum(p.balance)::bigint FROM payables p JOIN supplier_bills b ON b.id = p.bill_id
			WHERE b.currency = $1`, currency).Scan(&got)
		if err != nil || got != want {
			t.Errorf("%v, %d is kept as owed in %s, want %d", err, got, currency, want)
		}
	}
	for what, sql := range map[string]string{
		"lines of orders that aren't the sum of their arrivals and returns": `
			SELECT count(*) FROM order_lines l
			WHERE (l.delivered, l.replaced) <> (
			  (SELECT coalesce(sum(a.units), 0) FROM arrivals a
			   WHERE a.order_id = l.order_id AND a.line = l.number),
			  (SELECT coalesce(sum(x.units), 0) FROM supplier_returns x
			   WHERE x.order_id = l.order_id AND x.line = l.number AND x.replacement))`,
		"orders that aren't open as their lines are": `
			SELECT count(*) FROM orders o
			WHERE o.open <> EXISTS (SELECT FROM order_lines l
			  WHERE l.order_id = o.id AND l.units + l.replaced - l.cancelled > l.delivered)`,
		"arrivals that aren't billed, returned and credited as the rows say": `
			SELECT count(*) FROM received r
			WHERE (r.billed, r.returned, r.credited) <> (
			  (SELECT coalesce(sum(l.units) FILTER (WHERE l.kind = 'goods'), 0)
			   FROM supplier_bill_lines l WHERE l.receipt_id = r.receipt_id),
			  (SELECT coalesce(sum(x.units), 0) FROM supplier_returns x WHERE x.receipt_id = r.receipt_id),
			  (SELECT coalesce(sum(l.units) FILTER (WHERE l.kind = 'returned'), 0)
			   FROM supplier_bill_lines l WHERE l.receipt_id = r.receipt_id))`,
		"shares that don't add up": `
			SELECT count(*) FROM supplier_bill_shared s
			WHERE s.home <> (SELECT sum(x.home) FROM supplier_bill_shares x
			  WHERE x.bill_id = s.bill_id AND x.shared = s.place)`,
	} {
		var n int
		if err := c.QueryRow(t.Context(), sql).Scan(&n); err != nil || n != 0 {
			t.Errorf("%v: %d %s", err, n, what)
		}
	}
}
