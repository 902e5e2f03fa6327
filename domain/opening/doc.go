// Package opening decides how a workshop that has been going for years begins with its books here
// on a day.
//
// What it has comes from its old books as files ([Read]): pianos of its own with what they cost,
// lots of parts, orders that are open, deliveries that aren't billed, deposits of buyers, and what
// clients' jobs have cost and were billed. A row becomes a record of the kind that the service
// keeps anyway, a purchase, a receipt of stock, an order. All of them count in the books on the day
// before the opening ([Setting.Balances]), since an opening balance is the closing balance of the
// day before (common practice, no source).
//
// A workshop opens once. What was entered wrongly is corrected by taking the whole opening back, as
// long as nothing rests on it ([Opening.Reverse]), and opening anew. What each file adds up to
// ([FileSum]) is told for each of its columns, so that it can be tied to the old books.
package opening
