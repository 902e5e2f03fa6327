package cost

import (
	"cmp"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Total is the sum of the lines of one kind and purpose on a task, as it is kept with them.
type Total struct {
	Instrument uuid.UUID
	Job        uuid.UUID // zero: on no job
	Operation  catalogue.Code
	Kind       Kind
	Purpose    Purpose
	Inventory  bool
	Amount     money.Amount
	Minutes    int
	Lines      int64
}

// Dated is the sum of those lines of one kind and purpose of a job, or of none, that belong to one
// day and count in the books on one.
type Dated struct {
	Total
	// Since is the day of what was costed first: what corrects or takes back belongs to the day of
	// that, a correction of rates to the day of the work, and the bill of outside work to the day of
	// the accrual whose place it takes.
	Since    domain.Date
	PostedOn domain.Date
}

// Views are a sum as the two views count it.
type Views struct {
	Inventory, Management money.Amount
}

// add adds an amount to the views that count it.
func (v *Views) add(a money.Amount, inventory bool) {
	v.Management = v.Management.Add(a)
	if inventory {
		v.Inventory = v.Inventory.Add(a)
	}
}

// ViewsOf returns what lines come to.
func ViewsOf(lines []Line, c money.Currency) Views {
	v := Views{money.Zero(c), money.Zero(c)}
	for _, l := range lines {
		v.add(l.Amount, l.Inventory())
	}
	return v
}

// InViews returns what totals come to.
func InViews(totals []Total, c money.Currency) Views {
	v := Views{Inventory: money.Zero(c), Management: money.Zero(c)}
	for _, t := range totals {
		v.add(t.Amount, t.Inventory)
	}
	return v
}

// Sum is what one kind and purpose come to.
type Sum struct {
	Kind    Kind
	Purpose Purpose
	Views
	Minutes int
	Lines   int64
}

// Sums returns what totals come to by kind and purpose, in the order of Kinds and Purposes.
func Sums(totals []Total, c money.Currency) []Sum {
	type key struct {
		kind    Kind
		purpose Purpose
	}
	at := map[key]int{}
	sums := []Sum{}
	for _, t := range totals {
		k := key{t.Kind, t.Purpose}
		i, known := at[k]
		if !known {
			i = len(sums)
			at[k] = i
			sums = append(sums, Sum{
				Kind: t.Kind, Purpose: t.Purpose,
				Views: Views{Inventory: money.Zero(c), Management: money.Zero(c)},
			})
		}
		sums[i].add(t.Amount, t.Inventory)
		sums[i].Minutes += t.Minutes
		sums[i].Lines += t.Lines
	}
	slices.SortFunc(sums, func(a, b Sum) int {
		return cmp.Or(
			cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)),
			cmp.Compare(slices.Index(Purposes, a.Purpose), slices.Index(Purposes, b.Purpose)),
		)
	})
	return sums
}
