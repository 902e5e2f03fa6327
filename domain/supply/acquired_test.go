package supply_test

import (
	"strings"
	"testing"

	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// hauled returns a ledger of pianos of ours that were bought at such prices, and shares of them
// that weigh so much.
func hauled(prices, weights []string) (supply.Ledger, []supply.Share) {
	l, _ := consignment()
	l.Bought = map[uuid.UUID]supply.Bought{}
	var over []supply.Share
	for i, p := range prices {
		id := uuid.UUID{byte(i + 101)}
		l.Bought[id] = supply.Bought{
			Price: money.MustParse(p + " EUR"), Ours: true, Bears: money.Zero(eur),
		}
		w := number(weights[i])
		over = append(over, supply.Share{Instrument: id, Weight: &w})
	}
	return l, over
}

func acquisitions(b supply.Bill) string {
	var texts []string
	for _, x := range b.Acquired {
		texts = append(texts, x.Amount.Text())
	}
	return strings.Join(texts, " ")
}

// D6 of the worked examples, over the three pianos themselves; a credit note gives the same with
// minus signs.
func TestCarriageIsSharedOverPianosAsWorkedOut(t *testing.T) {
	t.Parallel()
	for by, want := range map[supply.Sharing]string{
		supply.ByValue:    "161.29 60.48 28.23",
		supply.ByWeight:   "103.90 77.92 68.18",
		supply.Equally:    "83.34 83.33 83.33",
		supply.ByQuantity: "83.34 83.33 83.33",
	} {
		l, over := hauled([]string{"4000.00", "1500.00", "700.00"}, []string{"320", "240", "210"})
		x := shared(supply.Freight, by, "250.00")
		x.Over = over
		b, _, err := billed(nil, x).Enter(l)
		if err != nil || acquisitions(b) != want || len(b.Adjustments) != 0 {
			t.Errorf("by %s: %v, %s, want %s", by, err, acquisitions(b), want)
		}
		for _, a := range b.Acquired {
			held := l.Bought[a.Instrument]
			held.Bears = a.Amount
			l.Bought[a.Instrument] = held
		}
		credit := billed(nil, x)
		credit.Credits = uuid.UUID{7}
		credit, _, err = credit.Enter(l)
		if back := strings.ReplaceAll(acquisitions(credit), "-", ""); err != nil || back != want ||
			credit.Acquired[0].Amount.Sign() >= 0 {
			t.Errorf("taken back by %s: %v, %s", by, err, acquisitions(credit))
		}
	}
}

// Common practice, no source: what isn't ours isn't acquired, what has no weight isn't shared by
// weight, and so on.
func TestWhatCantBearAShareIsRefused(t *testing.T) {
	t.Parallel()
	piano, other := uuid.UUID{101}, uuid.UUID{102}
	for says, change := range map[string]func(l supply.Ledger, b *supply.Bill){
		"#/shared/0/over/1/instrument: the instrument isn't ours": func(l supply.Ledger, _ *supply.Bill) {
			l.Bought[other] = supply.Bought{Price: money.MustParse("1.00 EUR")}
		},
		"#/shared/0/over/0/instrument: no price": func(l supply.Ledger, _ *supply.Bill) {
			l.Bought[piano] = supply.Bought{Price: money.Zero(eur), Ours: true}
		},
		"#/shared/0/over/1/instrument: must not be named twice": func(_ supply.Ledger, b *supply.Bill) {
			b.Shared[0].Over[1].Instrument = piano
		},
		"#/shared/0/over/1/weight: must be given": func(_ supply.Ledger, b *supply.Bill) {
			b.Shared[0].By, b.Shared[0].Over[1].Weight = supply.ByWeight, nil
		},
		"#/shared/0/over/0/instrument: no instrument": func(l supply.Ledger, _ *supply.Bill) {
			delete(l.Bought, piano)
		},
		"#/shared/0/over/0: must name a receipt or": func(_ supply.Ledger, b *supply.Bill) {
			b.Shared[0].Over[0].Receipt = uuid.UUID{1}
		},
		"#/shared/0/over/1: must name a receipt or": func(_ supply.Ledger, b *supply.Bill) {
			b.Shared[0].Over[1].Instrument = uuid.Nil
		},
		"the instrument bears 0.00 EUR of the bill": func(_ supply.Ledger, b *supply.Bill) {
			b.Credits = uuid.UUID{7}
		},
	} {
		l, over := hauled([]string{"4000.00", "1500.00"}, []string{"320", "240"})
		x := shared(supply.Freight, supply.ByValue, "250.00")
		x.Over = over
		b := billed(nil, x)
		change(l, &b)
		if _, _, err := b.Enter(l); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("got %v, want %s", err, says)
		}
	}
}

// Whatever a bill is shared over, to the cent all of it is borne, and the discount of its payment
// comes off all of it.
func TestWhatIsSharedOverPianosAndPartsIsBorneToTheCent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		cents := func(t *rapid.T, what string) string {
			return money.FromMinor(rapid.Int64Range(1, 1_000_000).Draw(t, what), eur).Text()
		}
		l, over := hauled(
			[]string{cents(t, "first"), "1500.00"}, []string{"1", "2"})
		arrived, lines := consignment(goods{"3", cents(t, "crate"), ""})
		l.Received, l.Parts = arrived.Received, arrived.Parts
		x := shared(supply.Freight, rapid.SampledFrom([]supply.Sharing{
			supply.ByValue, supply.ByQuantity, supply.Equally,
		}).Draw(t, "by"), cents(t, "carriage"))
		over = append(over, supply.Share{Receipt: lines[0].Receipt})
		x.Over = over
		b, _, err := billed(nil, x).Enter(l)
		if err != nil {
			t.Fatal(err)
		}
		sum := money.Zero(eur)
		borne := []supply.Borne{{Received: l.Received[lines[0].Receipt], Home: money.Zero(eur)}}
		for _, a := range b.Acquired {
			sum = sum.Add(a.Amount)
			borne = append(borne, supply.Borne{Instrument: a.Instrument, Home: a.Amount})
		}
		for _, a := range b.Adjustments {
			sum = sum.Add(a.Amount)
			borne[0].Home = a.Amount
		}
		if sum != x.Amount {
			t.Fatalf("%s is borne of %s", sum, x.Amount)
		}
		p, err := b.Pay(supply.Payment{Amount: money.Zero(eur), Discount: x.Amount}, x.Amount, borne,
			eur, today)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range p.Acquired {
			sum = sum.Add(a.Amount)
		}
		for _, a := range p.Adjustments {
			sum = sum.Add(a.Amount)
		}
		if !sum.IsZero() {
			t.Fatalf("%s is borne after a discount of all", sum)
		}
	})
}
