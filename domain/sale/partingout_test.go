package sale_test

import (
	"testing"

	"bentside/domain/job"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// gave returns a parting out whose parts are worth some amounts.
func gave(worth ...string) sale.PartingOut {
	p := sale.PartingOut{Note: "the plank is past saving"}
	for _, w := range worth {
		p.Parts = append(p.Parts, sale.RecoveredPart{
			Part: uuid.UUID{9}, Quantity: decimal.NewFromInt(1), Worth: pounds(w),
		})
	}
	return p
}

// What a donor stands at after a write-down, 900.00, is shared by what its parts are worth: 600.00,
// 400.00 and 200.00 bear 450.00, 300.00 and 150.00 (IAS 2, paragraph 14, from memory; the figures
// are common practice, no source). What is billed later is an expense.
func TestPartsBearWhatTheDonorStoodAtByWhatTheyAreWorth(t *testing.T) {
	t.Parallel()
	s, f := boughtAt("1000.00"), sale.File{Currency: gbp, Costs: costs("1000.00")}
	valued(t, &s, &f, "900.00", "0.00", "0.00")
	l, err := gave("600.00", "400.00", "200.00").Part(s, f, false)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"450.00", "300.00", "150.00"} {
		if l.Parts[i].Cost != pounds(want) {
			t.Errorf("part %d costs %s, want %s", i, l.Parts[i].Cost, want)
		}
	}
	f.Loss = &l
	f.Costs = append(f.Costs, later(0, "60.00"))
	a := f.Account()
	if !a.Carrying.IsZero() || a.InParts != pounds("900.00") || a.Lost != pounds("60.00") ||
		a.WrittenDown != pounds("100.00") || a.Margin != pounds("-160.00") {
		t.Errorf("the account is %+v", a)
	}
}

func TestWhatThePartsArentWorthIsAnExpense(t *testing.T) {
	t.Parallel()
	expense := func(p sale.PartingOut, a string) sale.PartingOut {
		x := pounds(a)
		p.Expense = &x
		return p
	}
	s, f := boughtAt("1000.00"), sale.File{Currency: gbp, Costs: costs("1000.00")}
	for _, c := range []struct {
		of      sale.PartingOut
		inParts string
	}{
		{gave("300.00", "100.00"), "400.00"},
		{gave("3000.00", "100.00"), "1000.00"},
		{expense(gave("3000.00", "100.00"), "250.00"), "750.00"},
		{expense(gave("300.00"), "1000.00"), "0.00"},
		{gave("0.00", "0.00"), "0.00"},
	} {
		l, err := c.of.Part(s, f, false)
		if err != nil || l.Recovered() != pounds(c.inParts) {
			t.Errorf("%s go into parts, %v; want %s", l.Recovered(), err, c.inParts)
		}
	}
	working, promised := s, s
	working.Jobs = []job.Job{{ID: uuid.UUID{5}}}
	promised.Deposits = []sale.Deposit{{
		Amount: pounds("9.00"), Applied: zero, Refunded: zero, Forfeited: zero, Reversed: zero,
	}}
	otherMoney := gave("300.00")
	otherMoney.Parts[0].Worth = money.MustParse("300.00 EUR")
	nameless := gave("300.00")
	nameless.Parts[0].Part = uuid.Nil
	for says, c := range map[string]struct {
		of      sale.PartingOut
		s       sale.Stands
		offered bool
	}{
		"must be at most 1000.00 GBP, what the instrument stands at": {
			expense(gave("3000.00"), "1000.01"), s, false,
		},
		"must be at least 600.00 GBP": {expense(gave("400.00"), "599.99"), s, false},
		"#/expense/amount: must be 0": {expense(gave("400.00"), "-1.00"), s, false},
		"#/parts/0/worth/amount":      {gave("-1.00"), s, false},
		"#/parts/0/worth/currency":    {otherMoney, s, false},
		"#/parts/0/part":              {nameless, s, false},
		"#/parts: must be 1 to 100":   {gave(), s, false},
		"is open on it":               {gave("1.00"), working, false},
		"Refund it":                   {gave("1.00"), promised, false},
		"that it no longer is":        {gave("1.00"), s, true},
	} {
		_, err := c.of.Part(c.s, f, c.offered)
		wantSays(t, err, "parted out", says)
	}
}

// Whatever the parts are worth: what goes into them and the expense are what the donor stood at, to
// the cent, and no part costs more than it is worth.
func TestTheSharesOfADonorAddUpWhateverItsPartsAreWorth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		stood := money.FromMinor(rapid.Int64Range(0, 2_000_00).Draw(t, "stood"), gbp)
		s, f := boughtAt(stood.Text()), sale.File{Currency: gbp, Costs: costs(stood.Text())}
		p := sale.PartingOut{Note: "so"}
		for range rapid.IntRange(1, 9).Draw(t, "parts") {
			p.Parts = append(p.Parts, sale.RecoveredPart{
				Part: uuid.UUID{9}, Quantity: decimal.NewFromInt(1),
				Worth: money.FromMinor(rapid.Int64Range(0, 500_00).Draw(t, "worth"), gbp),
			})
		}
		l, err := p.Part(s, f, false)
		if err != nil {
			t.Fatal(err)
		}
		f.Loss = &l
		a := f.Account()
		if a.InParts.Add(a.Lost) != stood || !a.Carrying.IsZero() {
			t.Fatalf("%s go into parts and %s are lost of %s", a.InParts, a.Lost, stood)
		}
		for _, x := range l.Parts {
			if x.Cost.Cmp(x.Worth) > 0 || x.Cost.Sign() < 0 {
				t.Fatalf("a part worth %s costs %s", x.Worth, x.Cost)
			}
		}
	})
}
