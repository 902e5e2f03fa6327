package cost

import (
	"slices"
)

// Kind is what the money went for.
type Kind string

// The kinds of cost.
const (
	PurchasePrice Kind = "purchase_price"
	BuyersPremium Kind = "buyers_premium"
	TransportIn   Kind = "transport_in" // carriage to us, and a share of a consignment
	Duty          Kind = "duty"
	Labour        Kind = "labour" // wage and on-costs of people on the payroll
	// NotionalLabour is what the hours of somebody who isn't on the payroll would have cost.
	NotionalLabour Kind = "notional_labour"
	Overhead       Kind = "overhead" // at the predetermined rate
	Parts          Kind = "parts"    // issued from stock
	OutsideWork    Kind = "outside_work"
	// ScrapSold is what was got for scrap of the work, and lowers what it cost.
	ScrapSold Kind = "scrap_sold"
	Other     Kind = "other"
	// Opening is what old records say the work had cost when a job was taken over.
	Opening Kind = "opening"
)

// Kinds lists every kind, in the order in which they are shown.
var Kinds = []Kind{
	PurchasePrice, BuyersPremium, TransportIn, Duty, Opening, Labour, NotionalLabour, Overhead, Parts,
	OutsideWork, ScrapSold, Other,
}

// Purpose is what a cost was for.
type Purpose string

// The purposes of a cost.
const (
	Acquisition    Purpose = "acquisition"
	Work           Purpose = "work"
	Seasoning      Purpose = "seasoning" // storage that the next stage of the work needs
	Rework         Purpose = "rework"    // as much as is normal
	AbnormalRework Purpose = "abnormal_rework"
	// NormalLoss is what parts cost that take the place of spoilt ones, as many as are usual, and
	// AbnormalLoss of those beyond that, which is an expense.
	NormalLoss   Purpose = "normal_loss"
	AbnormalLoss Purpose = "abnormal_loss"
	Survey       Purpose = "survey" // before the purchase
	Delivery     Purpose = "delivery"
	AfterSale    Purpose = "after_sale" // tuning and care after the sale
	Commission   Purpose = "commission"
	Warranty     Purpose = "warranty"
	Finance      Purpose = "finance"
	Storage      Purpose = "storage" // of what is finished or waits, showroom time
)

// Purposes lists every purpose.
var Purposes = []Purpose{
	Acquisition, Work, Seasoning, Rework, AbnormalRework, NormalLoss, AbnormalLoss, Survey, Delivery,
	AfterSale, Commission, Warranty, Finance, Storage,
}

// inventoried are the purposes that bring an instrument to where and what it is.
var inventoried = []Purpose{Acquisition, Work, Seasoning, Rework, NormalLoss}

// InInventory reports whether a cost is part of the cost of stock. Abnormal waste, storage unless a
// further stage needs it, administration and selling are expenses (IAS 2, paragraphs 10 to 16); no
// cost is recognised for hours that nobody is paid for.
func InInventory(k Kind, p Purpose) bool {
	return k != NotionalLabour && slices.Contains(inventoried, p)
}

// selling are the purposes of what it costs to sell an instrument and to stand by that.
var selling = []Purpose{Delivery, AfterSale, Commission, Warranty}

// IsSelling reports whether a cost is one of selling, and not of holding or making the instrument.
func IsSelling(p Purpose) bool { return slices.Contains(selling, p) }

// work are the purposes that an accepted estimate is compared with.
var work = []Purpose{Work, Seasoning, Rework, AbnormalRework, NormalLoss, AbnormalLoss}

// IsWork reports whether a cost is one of work on the instrument.
func IsWork(p Purpose) bool { return slices.Contains(work, p) }

// effort are the purposes of what measures how far the work has come: what was spoilt or wasted
// beyond what is normal, and what is no work on the instrument, is no progress (IFRS 15, B19).
var effort = []Purpose{Work, Seasoning, Rework, NormalLoss}

// Effort lists them. What was got for scrap ([ScrapSold]) is none, whatever for: it makes the work
// cheaper, and undoes none of it.
func Effort() []Purpose { return slices.Clone(effort) }

// IsEffort reports whether a cost measures how far the work has come.
func IsEffort(p Purpose) bool { return slices.Contains(effort, p) }
