package stock_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// shelf keeps one part and every move of it in a list. What a draft is decided on is added up from
// the list each time.
type shelf struct {
	part   stock.Part
	method valuation.Method
	today  domain.Date
	jobs   map[uuid.UUID]*job.Job
	moves  []stock.Move
	made   int
}

var (
	eur     = money.MustCurrency("EUR")
	monday  = domain.Date{Year: 2026, Month: time.November, Day: 2}
	tuesday = monday.AddDays(1)
	friday  = monday.AddDays(4)
	pianoA  = uuid.UUID{1}
	pianoB  = uuid.UUID{2}
)

// wire is bought by the coil of 25 m and used by the metre.
func wire(m valuation.Method) *shelf {
	return &shelf{
		part: stock.Part{
			ID: uuid.UUID{15: 200}, Code: "W-17", Name: "Wire 17", Class: uuid.UUID{15: 201}, Unit: "m",
			PurchaseUnit: "coil", Content: dec("25"), Minimum: dec("50"),
		},
		method: m, today: friday,
		jobs: map[uuid.UUID]*job.Job{
			pianoA: {ID: pianoA, State: job.Open, Tasks: []job.Task{{Operation: "ST-01"}}},
			pianoB: {ID: pianoB, State: job.Held},
		},
	}
}

func dec(text string) decimal.Decimal { return decimal.RequireFromString(text) }

func eurAmount(text string) *money.Amount {
	a := money.MustParse(text + " EUR")
	return &a
}

func quantity(text string) *decimal.Decimal {
	q := dec(text)
	return &q
}

// before adds up what decides on a draft.
func (s *shelf) before(d stock.Draft) stock.Before {
	on := d.On
	if on.IsZero() {
		on = s.today
	}
	b := stock.Before{
		Part: s.part, Moves: int64(len(s.moves)), Today: s.today, HeldThen: s.heldOn(on),
		LayerCost: money.Zero(eur), Job: s.jobs[d.Job],
	}
	b.LeastHeld = b.HeldThen
	for day := on; day.DaysUntil(s.today) >= 0; day = day.AddDays(1) {
		b.LeastHeld = decimal.Min(b.LeastHeld, s.heldOn(day))
	}
	value, received := money.Zero(eur), []stock.Move{}
	for i, m := range s.moves {
		value = value.Add(m.Value)
		if m.Kind == stock.Receipt {
			b.LastReceipt = &s.moves[i]
		}
		if m.ID == d.Of {
			b.Of = &s.moves[i]
			b.Job = s.jobs[m.Job]
		}
		b.Reversed = b.Reversed || m.Kind == stock.Reversal && m.Of == d.Of
		if m.Kind == stock.Receipt || m.Kind == stock.Count && m.Quantity.IsPositive() {
			received = append(received, m)
		}
		if gone := s.out(m.ID, d.Of); gone.Quantity.IsPositive() {
			b.Gone = append(b.Gone, stock.Gone{OutOn: m.ID, Quantity: gone.Quantity})
		}
	}
	slices.SortStableFunc(received, func(a, b stock.Move) int { return a.On.Compare(b.On) })
	var layers []valuation.Layer
	for _, m := range received {
		l := s.layer(m.ID)
		layers = append(layers, l)
		if out := s.out(d.Of, l.ID); out.Quantity.IsPositive() {
			b.Out = append(b.Out, out)
		}
		for _, e := range s.entries() {
			if e.Layer == l.ID && l.ID == d.Of {
				b.LayerCost = b.LayerCost.Add(e.Value)
			}
		}
	}
	b.Stock = valuation.NewStock(s.method, eur)
	if len(layers) > 0 {
		b.Stock = valuation.StockOf(s.method, layers, value)
	}
	return b
}

func (s *shelf) entries() []stock.Entry {
	var all []stock.Entry
	for _, m := range s.moves {
		all = append(all, m.Entries...)
	}
	return all
}

// layer adds up what is in stock of one receipt.
func (s *shelf) layer(id uuid.UUID) valuation.Layer {
	there := s.out(uuid.Nil, id)
	l := valuation.Layer{ID: id, Quantity: there.Quantity, Value: there.Value}
	if s.method == valuation.MovingAverage {
		l.Value = money.Zero(eur)
	}
	return l
}

// out adds up what is at one place, the zero move being the stock, of one receipt.
func (s *shelf) out(on, layer uuid.UUID) valuation.Line {
	sum := valuation.Line{Layer: layer, Value: money.Zero(eur)}
	for _, e := range s.entries() {
		if e.OutOn == on && e.Layer == layer {
			sum.Quantity, sum.Value = sum.Quantity.Add(e.Quantity), sum.Value.Add(e.Value)
		}
	}
	return sum
}

func (s *shelf) heldOn(day domain.Date) decimal.Decimal {
	sum := decimal.Zero
	for _, m := range s.moves {
		if m.On.Compare(day) <= 0 {
			sum = sum.Add(m.Quantity)
		}
	}
	return sum
}

// try makes a move and returns it, or why it is refused.
func (s *shelf) try(d stock.Draft) (stock.Move, error) {
	s.made++
	d.ID, d.Part = uuid.UUID{14: byte(s.made >> 8), 15: byte(s.made)}, s.part.ID
	m, _, err := stock.Decide(s.before(d), d)
	if err != nil {
		return m, err
	}
	s.moves = append(s.moves, m)
	if m.Kind != stock.Receipt {
		return m, nil
	}
	s.made++
	id := uuid.UUID{14: byte(s.made >> 8), 15: byte(s.made)}
	difference, differs, err := stock.Recost(s.method, s.moves, id, s.today)
	if err != nil {
		s.moves = s.moves[:len(s.moves)-1]
	}
	if differs {
		s.moves = append(s.moves, difference)
	}
	return m, err
}

func (s *shelf) do(t *testing.T, d stock.Draft) stock.Move {
	t.Helper()
	m, err := s.try(d)
	if err != nil {
		t.Fatalf("%s: %v", d.Kind, err)
	}
	return m
}

// received buys coils of wire for a sum.
func (s *shelf) received(t *testing.T, coils, value string, on domain.Date) stock.Move {
	t.Helper()
	return s.do(t, stock.Draft{
		Kind: stock.Receipt, Quantity: quantity(coils), Unit: "coil", Value: eurAmount(value), On: on,
	})
}

// toJob issues metres to a job.
func (s *shelf) toJob(t *testing.T, jb uuid.UUID, metres string) stock.Move {
	t.Helper()
	return s.do(t, stock.Draft{Kind: stock.Issue, Quantity: quantity(metres), Job: jb})
}

// jobCost adds up what a job got.
func (s *shelf) jobCost(jb uuid.UUID) money.Amount {
	sum := money.Zero(eur)
	for _, m := range s.moves {
		for _, e := range s.entries() {
			if e.OutOn == m.ID && m.Job == jb {
				sum = sum.Add(e.Value)
			}
		}
	}
	return sum
}
